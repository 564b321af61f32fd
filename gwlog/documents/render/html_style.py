"""How a document looks as a page in a browser: by day, by night, on paper; no font and nothing else from outside."""

from __future__ import annotations

# The page asks the browser itself to load and run nothing.
POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"

STYLE = """
:root { color-scheme: light dark; --ink: #111; --paper: #fff; --soft: #444; --hair: #bbb; }
@media (prefers-color-scheme: dark) { :root { --ink: #eee; --paper: #161616; --soft: #bbb; --hair: #666; } }
body { font: 1rem/1.5 Georgia, 'DejaVu Serif', serif; color: var(--ink); background: var(--paper);
  margin: 2rem auto; max-width: 68rem; padding: 0 1.2rem; }
h1 { font-size: 1.75rem; line-height: 1.25; margin: 0; }
h2 { font-size: 1.3rem; margin: 2.2rem 0 .5rem; border-top: 2px solid var(--ink); padding-top: .5rem; }
h3 { font-size: 1.1rem; margin: 1.2rem 0 .4rem; }
p.under, footer { color: var(--soft); }
.strong { font-weight: bold; border: 2px solid var(--ink); padding: .5rem .7rem; }
nav ul { columns: 18rem; padding-left: 1.2rem; } a { color: inherit; }
a:focus-visible, .wide:focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
.wide { overflow-x: auto; margin: .4rem 0 1rem; }
table { border-collapse: collapse; width: 100%; font: .875rem/1.4 system-ui, 'DejaVu Sans', sans-serif; }
caption { text-align: left; font-weight: bold; padding: .2rem .4rem; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
th, td { text-align: left; vertical-align: top; padding: .25rem .4rem; border-bottom: 1px solid var(--hair);
  overflow-wrap: break-word; max-width: 26rem; }
thead th { border-bottom: 2px solid var(--ink); } tbody th { font-weight: normal; }
.right { text-align: right; } td.right, .whole { white-space: nowrap; }
@media (max-width: 40rem) { .wide td:not(.right) { min-width: 6rem; } }
figure { margin: .8rem 0; } figure strong { display: block; } figcaption { font-size: .95rem; }
svg { display: block; height: auto; min-width: 30rem; }
sup { line-height: 0; } .blank { display: flex; gap: 1rem; align-items: flex-end; margin: 1.4rem 0 0; }
.blank span:last-child { flex: 1; border-bottom: 1px solid var(--ink); min-height: 1.2em; }
@media print { :root { --ink: #000; --paper: #fff; --soft: #222; --hair: #888; }
  body { margin: 0; max-width: none; font-size: 10pt; } table { font-size: 9pt; } nav { display: none; }
  figcaption { font-size: 9pt; } .wide { overflow: visible; } svg { min-width: 0; }
  h2, h3, caption { break-after: avoid; } tr, figure, .strong, .blank { break-inside: avoid; }
  .newpage { break-before: page; } thead { display: table-header-group; } }
""".strip()
