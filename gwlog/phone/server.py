"""Serving the pages: one address that was named, patience with nobody, and an end when it is told to stop."""

from __future__ import annotations

import asyncio
import gc
import logging
import signal
import socket
import ssl
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from gwlog import clock, files
from gwlog.errors import BadInput, GwlogError
from gwlog.household import look_set_up
from gwlog.libraries import WRITER, load
from gwlog.phone import kept_place, pages
from gwlog.phone.address import Place
from gwlog.phone.app import application
from gwlog.phone.call import Served
from gwlog.phone.guard import LONGEST_BEGINNING, Limits
from gwlog.phone.kept_place import Kept
from gwlog.values import replace
from gwlog.views import load_list, next_load

KEEP_ALIVE_S, GRACE_S = 5, 3
SIGNALS = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGINT", "SIGBREAK") if hasattr(signal, name))


class Server(uvicorn.Server):
    """The server, which ends with its work done when it is told to stop."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Stop at a signal, and leave it at that."""
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        before = {number: signal.signal(number, self.handle_exit) for number in SIGNALS}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)


def served_at(path: Path, place: Place, limits: Limits | None = None, *, cert: Path | None = None,
              key: Path | None = None) -> tuple[Server, socket.socket, Served]:
    """The server for a logbook, listening but not serving yet; a port of 0 becomes a free one.

    Raises BadInput where nothing can listen there, or the certificate cannot be used.
    """
    limits = limits or Limits()
    if cert is not None:
        refuse_certificate(cert, key)
    logging.getLogger("uvicorn").setLevel(logging.ERROR)   # what strangers send fills no log
    listening = _listen(place)
    try:
        served = Served(path, place.at_port(listening.getsockname()[1]))
        config = uvicorn.Config(
            application(served, limits), http=_patient(limits), ws="none", lifespan="off", loop="asyncio",
            log_config=None, access_log=False, server_header=False, proxy_headers=False,
            h11_max_incomplete_event_size=LONGEST_BEGINNING, timeout_keep_alive=KEEP_ALIVE_S,
            timeout_graceful_shutdown=GRACE_S, ssl_certfile=cert, ssl_keyfile=key)
    except BaseException:
        listening.close()
        raise
    return Server(config), listening, served


def serve(path: Path, how: Kept, say: Callable[[str], object],
          beside: Callable[[Callable[[], None]], AbstractContextManager[object]] | None = None) -> None:
    """Serve a logbook's pages until a signal comes. Raises what the logbook, the address or the certificate deserve.

    `beside`: what goes on meanwhile in the same process; it gets what ends the serving.
    """
    look_set_up(path, clock.now())
    server, listening, served = served_at(path, how.place, cert=how.cert, key=how.key)

    def end() -> None:
        server.should_exit = True

    with listening, nullcontext() if beside is None else beside(end):
        kept_place.keep(served.logbook, replace(how, place=served.place))
        threading.Thread(target=load_ahead, args=(path,), daemon=True).start()
        say(served.place.url)
        server.run(sockets=[listening])


def load_ahead(path: Path) -> None:
    """Load what the first pages and the first entry need, which takes a phone's patience otherwise."""
    pages.load_ahead()
    try:
        home = look_set_up(path, clock.now())
        next_load.next_loads(home)
        load_list.load_rows(home, list(home.state.usual_loads)[:1])
    except GwlogError:
        pass   # the page that is asked for tells it
    load(*WRITER)
    # What was loaded stays: without it, Python looks for garbage soon after each page, and in little.
    gc.collect()
    gc.freeze()


def refuse_certificate(cert: Path, key: Path | None) -> None:
    """Raise BadInput where a certificate and its key cannot be used."""
    def ask() -> str:
        raise BadInput(f"The key {key} asks for a password; use one without, readable by you alone.")

    for where in (cert, key or cert):
        files.read_whole(where, 1_000_000, "a certificate or a key in PEM form")
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(cert, key, ask)
    except (ssl.SSLError, OSError) as fault:
        why = getattr(fault, "reason", None) or str(fault)
        raise BadInput(f"{cert} and {key or cert} are not a certificate and its key: "
                       f"{str(why).replace('_', ' ').lower()}.",
                       hint="Both are files in PEM form; the key may stand in the certificate's file.") from None


def _listen(place: Place) -> socket.socket:
    family = socket.AF_INET6 if place.address.version == 6 else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if place.every and place.address.version == 6:
            listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 0)
        listening.bind((str(place.address), place.port))
        listening.listen()   # whoever is told the address may come at once
    except OSError as fault:
        listening.close()
        raise BadInput(f"Nothing can be served at {place.address} port {place.port}: {files.reason(fault)}.",
                       hint="Is it this machine's address, and does nothing else serve there?") from None
    return listening


def _patient(limits: Limits) -> type[asyncio.Protocol]:
    """How one connection is spoken with: a request comes whole within its time, and nobody holds too many."""
    held: Counter[str] = Counter()

    class Patient(H11Protocol):
        waiting: asyncio.TimerHandle | None = None
        counted: str | None = None

        def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
            super().connection_made(transport)
            peer = self.client[0] if self.client else ""
            if held.total() >= limits.connections or held[peer] >= limits.connections_of_one:
                transport.abort()
                return
            self.counted = peer
            held[peer] += 1
            self._wait()

        def connection_lost(self, exc: Exception | None) -> None:
            self._stop_waiting()
            if self.counted is not None:
                held[self.counted] -= 1
                if not held[self.counted]:
                    del held[self.counted]
                self.counted = None
            super().connection_lost(exc)

        def data_received(self, data: bytes) -> None:
            if self.waiting is None and (self.cycle is None or not self.cycle.more_body):
                self._wait()
            super().data_received(data)

        def handle_events(self) -> None:
            super().handle_events()
            if self.cycle is not None and not self.cycle.more_body and not self.conn.trailing_data[0]:
                self._stop_waiting()

        def _wait(self) -> None:
            # a little longer than the page waits for its form, so that it can say so
            self.waiting = self.loop.call_later(limits.send_s * 1.5, self._too_slow)

        def _stop_waiting(self) -> None:
            if self.waiting is not None:
                self.waiting.cancel()
                self.waiting = None

        def _too_slow(self) -> None:
            self.waiting = None
            self.transport.abort()

    return Patient


