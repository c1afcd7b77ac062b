import { QueryClient, QueryClientProvider } from '@tanstack/react-query';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { queries } from './api/queries.js';
import { Shell } from './Shell.js';
import { applyTheme, storedTheme } from './state/theme.js';
import { storedChoice, UnitsProvider } from './state/units.js';
import './styles/base.css';
import './styles/parts.css';
import './styles/views.css';
import './styles/print.css';

applyTheme(storedTheme());
const client = new QueryClient({
  // the server says what changed; asking again by time would only repeat what is known
  defaultOptions: {
    queries: { staleTime: Number.POSITIVE_INFINITY, retry: false, refetchOnWindowFocus: false },
  },
});

// asked for while the script of the view is still on its way
const { pathname } = window.location;
void client.prefetchQuery(queries.folder());
void client.prefetchQuery(queries.line());
if (pathname === '/') void client.prefetchQuery(queries.board(storedChoice().system));

createRoot(document.getElementById('root') as HTMLElement).render(
  <StrictMode>
    <QueryClientProvider client={client}>
      <UnitsProvider>
        <Shell />
      </UnitsProvider>
    </QueryClientProvider>
  </StrictMode>,
);
