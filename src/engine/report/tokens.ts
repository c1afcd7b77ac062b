/** Colours by meaning. Dark applies on a screen only: paper is always light. */
export const tokens = `
:root { color-scheme: light dark; --surface: #fff; --panel: #f4f5f6; --ink: #1a1c1e; --ink-soft: #54585d; --rule: #b4b9be; --rule-faint: #e5e7e9;
  --speed: #0072b2; --torque: #009e73; --tension: #e69f00; --abnormal: #d55e00; --hatch: #c5c9cd;
  --plateau: #cc79a7; --ramp: #f0e442; --coast: #56b4e9; --breakaway: #3a3d40; --rest: #d3d6d9; }
@media screen and (prefers-color-scheme: dark) {
  :root { --surface: #14171a; --panel: #1d2125; --ink: #e9ebed; --ink-soft: #a8aeb4; --rule: #555b61; --rule-faint: #2a2f34;
    --speed: #58aee6; --torque: #2cc796; --tension: #f0b03a; --abnormal: #ff8b4d; --hatch: #4a5056;
    --plateau: #d993b9; --ramp: #e8dd55; --coast: #7cc6f0; --breakaway: #dfe2e5; --rest: #6a7076; }
}`;
