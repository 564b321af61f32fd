"""How the pages were served last, kept beside the settings: what starts them with the machine needs no arguments."""

from __future__ import annotations

from pathlib import Path

from gwlog import settings
from gwlog.errors import BadInput
from gwlog.phone import address
from gwlog.phone.address import Place
from gwlog.values import dataclass


@dataclass(frozen=True, slots=True)
class Kept:
    """Where the pages are served, with which certificate."""

    place: Place
    cert: Path | None = None
    key: Path | None = None


def keep(logbook: str, kept: Kept) -> None:
    """Keep how the pages of a logbook are served. Raises GwlogError where that cannot be."""
    place = kept.place
    address.note(logbook, place.url, {
        "address": None if place.every else str(place.address), "port": place.port, "names": list(place.names),
        **_files(kept)})


def kept(logbook: str) -> Kept | None:
    """How the pages of a logbook were served last; None where they never were, or where that cannot be read."""
    found = address.noted_whole(logbook)
    port, names = found.get("port"), found.get("names")
    if "address" not in found or not isinstance(port, int) or not isinstance(names, list) or not 0 < port < 65_536:
        return None
    try:
        where = found["address"]
        cert, key = (settings.typed_path(str(found[name])) if name in found else None for name in ("cert", "key"))
        place = Place(address.named(None if where is None else str(where), every=where is None), port,
                      tuple(address.host_name(str(name)) for name in names), cert is not None, where is None)
    except BadInput:
        return None
    return Kept(place, cert, key)


def changed(logbook: str, typed: str | None, *, every: bool, port: int | None, names: tuple[str, ...],
            cert: Path | None, key: Path | None) -> Kept:
    """How the pages are to be served now: as it was said; what was not said as they were served last.

    An address that is said begins anew. Raises BadInput for what cannot be, and where no address was ever named.
    """
    before = kept(logbook) if typed is None and not every else None
    said = tuple(address.host_name(one) for one in names)
    if before is None:
        if key is not None and cert is None:
            raise BadInput("--key goes with --cert; name the certificate too.")
        return Kept(Place(address.named(typed, every=every), address.PORT if port is None else port, said,
                          cert is not None, every), cert, key)
    if cert is None:
        if key is not None and before.cert is None:
            raise BadInput("--key goes with --cert; name the certificate too.")
        cert, key = before.cert, key or before.key
    place = before.place
    return Kept(Place(place.address, place.port if port is None else port, said or place.names, cert is not None,
                      place.every), cert, key)


def options(how: Kept) -> tuple[str, ...]:
    """The words of the command that say it."""
    place = how.place
    files = [(f"--{name}", where) for name, where in _files(how).items()]
    return (*(("--every-address",) if place.every else ("--address", str(place.address))), "--port", str(place.port),
            *(word for name in place.names for word in ("--name", name)), *(word for pair in files for word in pair))


def _files(how: Kept) -> dict[str, str]:
    return {name: str(where.absolute()) for name, where in (("cert", how.cert), ("key", how.key)) if where is not None}
