"""The keys that do the same on every screen, and those of them that stand in the footer."""

from __future__ import annotations

from textual.binding import Binding, BindingType

KEYS: list[BindingType] = [
    Binding("1", "open('today')", "go to Today"),
    Binding("2", "open('garden')", "go to Garden"),
    Binding("3", "open('plan')", "go to Plan"),
    Binding("4", "open('log')", "go to Log"),
    Binding("5", "open('upkeep')", "go to Upkeep"),
    Binding("6", "open('records')", "go to Records"),
    Binding("7", "open('setup')", "go to Setup"),
    Binding("l", "open('load')", "log a load: see where it may go, then one more key"),
    Binding("v", "form('valve')", "the valve was turned"),
    Binding("m", "form('move')", "an outlet was moved"),
    Binding("c", "form('mulch')", "mulch was added or measured"),
    Binding("r", "form('rain')", "rain of a day"),
    Binding("W", "form('water')", "other water: by can, drip line or drinking-water hose, or a flush"),
    Binding("S", "form('soil')", "a soil test, or a meter's reading of the soil"),
    Binding("o", "form('observe')", "something was seen"),
    Binding("s", "form('resolve')", "resolve something seen, or follow up a load"),
    Binding("d", "form('done')", "upkeep was done"),
    Binding("t", "open('quick entry')", "catch up: type several entries, line by line"),
    Binding("b", "undo", "undo the last thing you logged"),
    Binding("e", "open('rehearsal')", "try a season: the plan against simpler ways"),
    Binding("p", "next_person", "who is logging: the next person"),
    Binding("f3", "open('from file')", "begin a logbook from a file; restore a backup if it cannot be read"),
    Binding("n", "light_or_dark", "light or dark"),
    Binding("question_mark,f1", "help", "this help"),
    Binding("ctrl+p", "command_palette", "find anything by name"),
    Binding("q,ctrl+q", "leave", "quit"),
]

EVERYWHERE = (
    ("l", "load", "app.open('load')"), ("v", "valve", "app.form('valve')"), ("m", "move", "app.form('move')"),
    ("c", "mulch", "app.form('mulch')"), ("r", "rain", "app.form('rain')"),
    ("W", "water", "app.form('water')"), ("o", "observe", "app.form('observe')"),
    ("s", "resolve", "app.form('resolve')"), ("d", "done", "app.form('done')"),
    ("t", "type", "app.open('quick entry')"),
    ("b", "take back", "app.undo"), ("?", "keys", "app.help"), ("q", "quit", "app.leave"),
)
"""Sign, word and action of each key in the footer."""
