import type { ReactNode } from 'react';

/** What marks the abnormal besides its colour. */
export function Sign({
  kind,
  label,
}: {
  readonly kind: 'refuse' | 'warn' | 'info' | 'stale';
  readonly label?: string;
}): ReactNode {
  const shape =
    kind === 'refuse' ? (
      <path d="M5 1h6l4 4v6l-4 4H5l-4-4V5zM5 5l6 6M11 5l-6 6" />
    ) : kind === 'warn' ? (
      <path d="M8 1.5 15 14H1zM8 6v4M8 11.6v.9" />
    ) : kind === 'stale' ? (
      <path d="M13.6 9.5A6 6 0 1 1 12 3.6L14 5.6M14 1.8v3.8h-3.8" />
    ) : (
      <path d="M8 1.5a6.5 6.5 0 1 0 .01 0zM8 7v4.4M8 4.2v1" />
    );
  return (
    <svg
      className={`sign ${kind}`}
      viewBox="0 0 16 16"
      width="16"
      height="16"
      {...(label === undefined ? { 'aria-hidden': true } : { role: 'img', 'aria-label': label })}
    >
      {shape}
    </svg>
  );
}
