import { useQuery } from '@tanstack/react-query';
import { type ReactNode, Suspense, useEffect } from 'react';
import { Link, Route, Switch, useLocation } from 'wouter';
import { useFolderEvents, useIsConnected } from './api/events.js';
import { queries } from './api/queries.js';
import { EmptyState } from './components/FindingItem.js';
import { LineStrip } from './components/LineStrip.js';
import { SettingsMenu } from './components/SettingsMenu.js';
import { Sign } from './components/Sign.js';
import { Waiting } from './components/Waiting.js';
import { useUnits } from './state/units.js';
import { viewAddresses as views } from './views/addresses.js';
import { viewComponents } from './views/views.js';

/** What stands around every view: where one is, the line as a strip, units and colours. */
export function Shell(): ReactNode {
  useFolderEvents();
  const [location, navigate] = useLocation();
  const { data: folder } = useQuery(queries.folder());
  const isConnected = useIsConnected();
  const units = useUnits();
  const current = views.find((v) => (v.path === '/' ? location === '/' : location.startsWith(v.path)));

  useEffect(() => {
    document.title = `${current?.label ?? 'Tautline'} · ${folder?.line ?? 'Tautline workbench'}`;
  }, [current, folder]);
  // Alt and a digit go to a view, from wherever the focus is
  useEffect(() => {
    const onKey = (e: KeyboardEvent): void => {
      const view = e.altKey && !e.ctrlKey && !e.metaKey ? views[Number(e.key) - 1] : undefined;
      if (view === undefined) return;
      e.preventDefault();
      navigate(view.path);
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [navigate]);

  return (
    <div className="shell">
      <a className="skip" href="#view">
        Skip to the view
      </a>
      <header className="bar">
        <p className="where">
          <strong>{folder?.line ?? folder?.name ?? 'Tautline'}</strong>
          {folder?.invented && !folder.line?.includes('invented') && (
            <span className="soft"> (invented)</span>
          )}
        </p>
        <nav aria-label="Views">
          {views.map((v, k) => (
            <Link
              key={v.id}
              href={v.path}
              aria-current={v === current ? 'page' : undefined}
              title={`Alt+${k + 1}`}
            >
              {v.label}
            </Link>
          ))}
        </nav>
        <a
          className="report-link"
          href={`/api/report?units=${units.system}`}
          target="_blank"
          rel="noreferrer"
          title="The commissioning report as it stands, to read, print or keep"
        >
          Report
        </a>
        <SettingsMenu />
      </header>
      {!isConnected && (
        <p className="offline" role="status">
          <Sign kind="warn" /> The server does not answer. What is shown is as it was; this page goes on by
          itself when it is back.
        </p>
      )}
      <LineStrip />
      <main id="view" tabIndex={-1}>
        <Suspense fallback={<Waiting />}>
          <Switch>
            {views.map((v) => (
              <Route key={v.id} path={v.pattern} component={viewComponents[v.id]} />
            ))}
            <Route>
              <EmptyState title="There is no such view">
                <p>
                  Go to the <Link href="/">board</Link>.
                </p>
              </EmptyState>
            </Route>
          </Switch>
        </Suspense>
      </main>
    </div>
  );
}
