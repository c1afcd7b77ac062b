/**
 * Style of all figures, by class. Signals have the Okabe-Ito colours (M. Okabe, K. Ito, "Color universal design", 2008,
 * from memory), which people with any common form of colour blindness can tell apart; the dark set is the same hues,
 * lighter. The custom properties are set by the document that shows the figure.
 */
export const figureStyle = `
.figure { display: block; width: 100%; height: auto; font: 13px system-ui, sans-serif; font-variant-numeric: tabular-nums; }
.figure text { fill: var(--ink); }
.figure .tick, .figure .legend { fill: var(--ink-soft); }
.figure .axis-label { font-weight: 600; }
.figure .grid { stroke: var(--rule-faint); fill: none; }
.figure .zero { stroke: var(--ink-soft); fill: none; }
.figure .frame { fill: none; stroke: var(--rule); }
.figure .tickmark { stroke: var(--ink-soft); fill: none; }
.figure .speed { --c: var(--speed); }
.figure .torque { --c: var(--torque); }
.figure .tension { --c: var(--tension); }
.figure .neutral { --c: var(--ink-soft); }
.figure .abnormal { --c: var(--abnormal); }
.figure .line { fill: none; stroke: var(--c); stroke-width: 2; stroke-linejoin: round; }
.figure .line.reference { stroke-dasharray: 8 5; }
.figure .line.second-reference { stroke-dasharray: 10 4 2 4; }
.figure .line.third-reference { stroke-dasharray: 12 3 2 3 2 3; }
.figure .line.extrapolated { stroke-dasharray: 1 5; stroke-linecap: round; stroke-width: 2.4; }
.figure .line.model.neutral { stroke: var(--ink); stroke-width: 1.4; }
.figure .trace { fill: none; stroke: var(--c); stroke-width: 1.8; stroke-linecap: round; opacity: .8; }
.figure .cloud { fill: none; stroke: var(--c); stroke-width: 2.2; stroke-linecap: round; opacity: .35; }
.figure .band { fill: var(--c); opacity: .24; }
.figure .whisker { fill: none; stroke: var(--c); stroke-width: 1.4; }
.figure .symbol { stroke: var(--c); stroke-width: 1.8; }
.figure .symbol.hollow { fill: var(--surface); }
.figure .symbol.filled { fill: var(--c); }
.figure .hatch { stroke: var(--hatch); stroke-width: 2; fill: none; }
.figure .limit-edge { stroke: var(--ink-soft); stroke-width: 1.4; fill: none; }
.figure .strip { stroke: var(--surface); stroke-width: 1; }
.figure .tint { opacity: .13; }
.figure .plateau { fill: var(--plateau); }
.figure .ramp { fill: var(--ramp); }
.figure .coast { fill: var(--coast); }
.figure .breakaway { fill: var(--breakaway); }
.figure .rest { fill: var(--rest); }
.figure .excluded { fill: var(--rest); }
.figure .strip.hatched { stroke: var(--rule); }
.figure .letter { font-size: 12px; font-weight: 600; fill: #111; }
.figure .letter.breakaway { fill: var(--surface); }
.figure .letter.hatched { fill: var(--ink); paint-order: stroke; stroke: var(--surface); stroke-width: 4px; }
`;
