"""The card as one HTML file: the same content, for a screen by the machine or to be printed from a browser."""

from __future__ import annotations

from html import escape
from typing import Literal

from gwlog.documents.card import content as words
from gwlog.documents.card import valve
from gwlog.documents.card.content import Card, Line
from gwlog.documents.drawings.code import qr_code
from gwlog.documents.render.blocks import neat
from gwlog.documents.render.html_style import POLICY

PENCIL_ROWS = 12

STYLE = """
:root { color-scheme: light dark; --ink: #000; --paper: #fff; --hair: #777; }
@media (prefers-color-scheme: dark) { :root { --ink: #fff; --paper: #111; --hair: #999; } }
body { font: 1.1rem/1.3 'DejaVu Sans Condensed', 'Arial Narrow', system-ui, sans-serif; color: var(--ink);
  background: var(--paper); margin: 1rem auto; max-width: 46rem; padding: 0 1rem; overflow-wrap: break-word; }
h1 { font-size: 1.6rem; margin: 0; line-height: 1.1; } h1 strong { font-size: 3.6rem; white-space: nowrap; }
h2 { font-size: 1.3rem; margin: 1.4rem 0 .3rem; }
.panels { display: grid; grid-template-columns: repeat(auto-fit, minmax(17rem, 1fr)); gap: .6rem; margin: .8rem 0; }
.panels section { border: 3px solid var(--ink); padding: .6rem; }
.panels svg { width: 9rem; height: auto; background: #fff; float: left; margin-right: .7rem; }
.panels h2 { font-size: 1.8rem; margin: 0; }
table { border-collapse: collapse; width: 100%; }
caption { text-align: left; font-weight: bold; font-size: 1.2rem; padding: .6rem 0 .2rem; }
th, td { text-align: left; vertical-align: top; padding: .2rem .6rem .2rem 0; border-bottom: 1px solid var(--hair); }
.far td, .far tbody th { font-size: 25pt; line-height: 1.25; } .far small { display: block; font-size: 14pt; }
.must { background: var(--ink); color: var(--paper); font-weight: bold; padding: 0 .3rem; }
.doubt { font-size: 30pt; font-weight: bold; border-top: 4px solid var(--ink); padding-top: .4rem; margin: 1rem 0 0; }
.cautions { font-size: 15pt; margin: .3rem 0; padding-left: 1.2rem; } .first { border: 2px solid var(--ink);
  padding: .4rem; } .wide { overflow-x: auto; } .pencil td { border: 1px solid var(--hair); height: 1.8rem;
  padding: .1rem .3rem; white-space: nowrap; } .pencil td:empty { min-width: 5rem; }
.phone svg { width: 7rem; height: auto; float: left; margin: 0 .7rem .4rem 0; } .phone { overflow: auto; }
.labels { display: grid; grid-template-columns: repeat(auto-fit, minmax(17rem, 1fr)); gap: .6rem; }
.labels p { border: 2px dashed var(--ink); padding: .6rem; text-align: center; margin: 0; }
.wide:focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
@media print { :root { --ink: #000; --paper: #fff; } body { margin: 0; max-width: none; }
  .second { break-before: page; }
  tr, section { break-inside: avoid; } .wide { overflow: visible; }
  .must { -webkit-print-color-adjust: exact; print-color-adjust: exact; } }
""".strip()


def html(card: Card, mark: str) -> str:
    """The whole page."""
    title = f"Card for the washing machine: {card.site}"
    first = f'<p class="first">{_text(card.first)}</p>' if card.first else ""
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{escape(POLICY)}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="keywords" content="{escape(mark)}">
<title>{_text(title)}</title>
<style>
{STYLE}
</style>
</head>
<body>
<header>
<h1>True until <strong>{_text(card.until)}</strong></h1>
<p>{_text(card.more)}</p>
</header>
<main>
{first}
<div class="panels">{_panel("garden", "▶ GARDEN", words.GARDEN_MEANS)}
{_panel("sewer", "▼ SEWER", words.SEWER_MEANS)}</div>
{_outlets(card)}
{_loads(card)}
<p class="doubt">{words.DOUBT}</p>
<ul class="cautions">{"".join(f"<li>{_text(one)}</li>" for one in words.CAUTIONS)}</ul>
{_phone(card)}
<div class="second">
{_turns(card)}
<h2>{_text(words.BY_HAND)}</h2>
{_pencil()}
<h2>Labels</h2>
<p>{_text(card.labels_note)}</p>
<div class="labels">{"".join(f"<p><strong>{_text(one)}</strong><br>{_text(two)}</p>" for one, two in card.labels)}</div>
</div>
</main>
<footer><p>{_text(card.foot)}</p></footer>
</body>
</html>
"""


def _text(said: str) -> str:
    return escape(neat(said))


def _panel(position: Literal["garden", "sewer"], name: str, means: str) -> str:
    picture = valve.drawn(position).removeprefix("<svg")
    return (f'<section><svg role="img" aria-label="{_text(valve.WORDS[position])}"{picture}'
            f"<h2>{name}</h2><p>{_text(means)}</p></section>")


def _outlets(card: Card) -> str:
    if not card.outlets:
        return ""
    rows = "".join(f'<tr><th scope="row">{_text(one.outlet)}</th><td><strong>{_text(one.basin)}</strong>'
                   f"{_first(one.first)}</td></tr>" for one in card.outlets)
    return _table("Where the outlets are", words.OUTLETS_TITLES, rows, "far")


def _loads(card: Card) -> str:
    if not card.lines:
        return f"<p>{words.NO_LOADS}</p>"
    return _table("Where each load goes now", words.LOADS_TITLES, "".join(map(_load, card.lines)), "far")


def _load(line: Line) -> str:
    kind = ' class="must"' if line.way == "must" else ""
    return (f'<tr><th scope="row">{_text(line.load)}</th><td><span{kind}>{line.sign} {_text(line.says)}</span>'
            f"{_first(line.first)}</td></tr>")


def _first(step: str) -> str:
    return f"<small>{_text(step)}</small>" if step else ""


def _phone(card: Card) -> str:
    """The address of the pages for phones: a link, and a code for a camera."""
    if not card.phone:
        return ""
    code = qr_code(card.phone).removeprefix("<svg")
    return (f'<p class="phone"><svg role="img" aria-label="QR code of {_text(card.phone)}"{code}'
            f"{words.WITH_A_PHONE}: <a href=\"{_text(card.phone)}\">{_text(card.phone)}</a></p>")


def _turns(card: Card) -> str:
    rows = "".join(f'<tr><th scope="row">☐ {_text(days)}</th><td>{_text(what)}</td></tr>' for days, what in card.turns)
    note = f"<p>{_text(card.remark)}</p>" if card.remark else ""
    return (_table(card.turns_title, ("Days", "Outlet"), rows, "turns") if rows else "") + note


def _pencil() -> str:
    row = f"<tr><td></td><td></td><td>▶☐ ▼☐</td>{'<td></td>' * (len(words.PENCIL) - 3)}</tr>"
    return _table("Loads, moves and turns of the valve", words.PENCIL, row * PENCIL_ROWS, "pencil")


def _table(caption: str, head: tuple[str, ...], rows: str, kind: str) -> str:
    heads = "".join(f'<th scope="col">{_text(one)}</th>' for one in head)
    return (f'<div class="wide" role="region" tabindex="0" aria-label="{_text(caption)}"><table class="{kind}">'
            f"<caption>{_text(caption)}</caption><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>")
