/**
 * Style of the side view. It stands inside the drawing, so that a saved file needs nothing else; in a report the page's own tokens
 * apply. Neutral greys; colour only for what is selected or abnormal (Okabe-Ito: M. Okabe, K. Ito, 2008, from memory).
 */
export const lineStyle = `
.line-drawing { display: block; width: 100%; height: auto; font: 12px system-ui, sans-serif; font-variant-numeric: tabular-nums; --web: var(--ink, #1a1c1e); --soft: var(--ink-soft, #54585d); --mid: var(--rule, #b4b9be); --body: var(--panel, #f4f5f6); --back: var(--surface, #fff); }
.line-drawing path, .line-drawing circle { stroke-linecap: round; stroke-linejoin: round; }
.line-drawing .normal { --c: var(--web); --outline: var(--soft); }
.line-drawing .selected { --c: var(--selected, var(--speed, #0072b2)); --outline: var(--selected, var(--speed, #0072b2)); }
.line-drawing .abnormal { --c: var(--abnormal, #d55e00); --outline: var(--abnormal, #d55e00); }
.line-drawing .body { fill: var(--body); stroke: var(--outline); stroke-width: 1.2; }
.line-drawing .selected .body, .line-drawing .abnormal .body { stroke-width: 2.4; }
.line-drawing .roll .body { stroke: var(--c); stroke-width: 1.8; }
.line-drawing .laps { fill: none; stroke: var(--mid); stroke-width: 1; }
.line-drawing .core { fill: var(--back); stroke: var(--outline); stroke-width: 1.6; }
.line-drawing .shell { fill: none; stroke: var(--outline); stroke-width: 1; }
.line-drawing .spreader .body { stroke-dasharray: 2 2.6; }
.line-drawing .axle { fill: var(--outline); }
.line-drawing .web { fill: none; stroke: var(--c); stroke-width: 1.8; }
.line-drawing .web.abnormal { stroke-width: 2.6; }
.line-drawing .web.impossible { stroke-dasharray: 5 5; }
.line-drawing .travel { fill: var(--c); }
.line-drawing .solid { fill: var(--outline); }
.line-drawing .mark { fill: none; stroke: var(--outline); stroke-width: 1.4; }
.line-drawing .block { fill: var(--back); stroke: var(--outline); stroke-width: 1.4; }
.line-drawing .nip { fill: var(--web); stroke: var(--back); stroke-width: 1.2; }
.line-drawing .bar { fill: none; stroke: var(--mid); stroke-width: 6; }
.line-drawing .trouble { fill: none; stroke: var(--abnormal, #d55e00); stroke-width: 2.2; }
.line-drawing .leader { fill: none; stroke: var(--mid); stroke-width: 1; }
.line-drawing text { fill: var(--web); paint-order: stroke; stroke: var(--back); stroke-width: 3px; stroke-linejoin: round; }
.line-drawing .detail { fill: var(--soft); font-size: 11px; }
.line-drawing text.selected, .line-drawing text.abnormal { fill: var(--c); font-weight: 600; }
.line-drawing .scale { fill: none; stroke: var(--soft); stroke-width: 1.4; }
`;
