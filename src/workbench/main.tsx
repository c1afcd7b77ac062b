import { QueryClient, QueryClientProvider } from '@tanstack/react-query';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { Shell } from './Shell.js';
import { applyTheme, storedTheme } from './state/theme.js';
import { UnitsProvider } from './state/units.js';
import './styles/base.css';
import './styles/parts.css';
import './styles/views.css';

applyTheme(storedTheme());
const client = new QueryClient({
  // the server says what changed; asking again by time would only repeat what is known
  defaultOptions: {
    queries: { staleTime: Number.POSITIVE_INFINITY, retry: false, refetchOnWindowFocus: false },
  },
});

createRoot(document.getElementById('root') as HTMLElement).render(
  <StrictMode>
    <QueryClientProvider client={client}>
      <UnitsProvider>
        <Shell />
      </UnitsProvider>
    </QueryClientProvider>
  </StrictMode>,
);
