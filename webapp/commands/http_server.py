"""The HTTP server: waitress, kept open to everybody by closing what idles, with the app's own page for large bodies.

A browser keeps connections open that it does not use, and an attacker may hold many half-sent requests. Each costs a
file descriptor and no thread, so that thousands fit; those that idle or trickle are closed, sooner where it is crowded.
"""

from __future__ import annotations

import contextlib
import socket
import time
from typing import Any, Final

from flask import Flask
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import TcpWSGIServer
from waitress.task import ErrorTask
from waitress.utilities import RequestEntityTooLarge

from webapp.ground.error_pages import too_large_answer
from webapp.ground.fields.uploaded_text import UPLOAD_LIMIT

#: How much of a body that is too large is read and thrown away [bytes]. A client that is cut off while it sends never
#: sees the answer; beyond this it may not.
DISCARD_LIMIT: Final = 32_000_000
#: Connections that are held at once, and the part of them from which on it is crowded.
CONNECTIONS: Final = 2_000
CROWDED: Final = 0.8
#: How long a connection may idle, and how long it may take to send the head and the whole of a request [s].
IDLE_S, HEAD_S, WHOLE_S = 20.0, 20.0, 180.0
#: How long it may idle or send a head where it is crowded [s], and how quickly a body has to come in there [bytes/s].
HURRY_S: Final = 3.0
HURRY_RATE: Final = 1_000.0
#: How long requests under way may take to be finished after a stop: shorter than what service managers grant [s].
FINISH_S: Final = 25.0
_FINISH_TURN_S: Final = 0.1
#: How often connections are looked through [s].
_SWEEP_S: Final = 2
_ACCEPTED_AT_ONCE: Final = 100
#: File descriptors for what is no connection, and those that one connection may need: itself and a large body's file.
_OTHER_FILES, _FILES_EACH = 200, 2


class PatientParser(HTTPRequestParser):  # type: ignore[misc]
    """Reads a body that is too large to its end, keeping nothing of it, so that the answer reaches its sender."""

    _left = 0

    def received(self, data: bytes) -> int:
        """Take bytes of one request and return how many belong to it."""
        if self._left:
            return self._discard(data)
        taken: int = super().received(data)
        announced = isinstance(self.error, RequestEntityTooLarge) and self.body_bytes_received == 0
        if announced and self.content_length <= DISCARD_LIMIT:
            self._left = self.content_length
            self.completed = False
        return taken

    def _discard(self, data: bytes) -> int:
        taken = min(len(data), self._left)
        self._left -= taken
        self.completed = self._left == 0
        return taken


class PageTask(ErrorTask):  # type: ignore[misc]
    """Answers a request that never reaches the app: with the app's page where its body is too large."""

    def execute(self) -> None:
        """Send the answer and close the connection."""
        if not isinstance(self.request.error, RequestEntityTooLarge):
            super().execute()
            return
        app: Flask = self.channel.server.application
        answer = too_large_answer(app, self.request.path, self.request.headers.get("ACCEPT_LANGUAGE", ""))
        self.status = answer.status
        self.response_headers.extend(answer.headers.to_wsgi_list())
        self.set_close_on_finish()
        body = answer.get_data()
        self.content_length = len(body)
        self.write(body)


class Channel(HTTPChannel):  # type: ignore[misc]
    """One connection."""

    parser_class = PatientParser
    error_task_class = PageTask
    _began = 0.0

    def received(self, data: bytes) -> bool:
        """Take bytes from the network, and note when a request began."""
        if self.request is None:
            self._began = time.time()
        taken: bool = super().received(data)
        return taken

    def is_answering(self) -> bool:
        """Return whether a request is being worked on, read or answered here."""
        return bool(self.requests or self.total_outbufs_len or self.request is not None)

    def is_overdue(self, now: float, *, crowded: bool) -> bool:
        """Return whether the connection is held open for nothing, or for a request that does not come to its end."""
        if self.requests:  # it waits for us
            return False
        asked, taken_s = self.request, now - self._began
        if asked is not None and taken_s > (WHOLE_S if asked.headers_finished else HEAD_S):
            return True
        slow = asked is not None and (not asked.headers_finished or asked.body_bytes_received < HURRY_RATE * taken_s)
        if slow and crowded and taken_s > HURRY_S:
            return True
        unfinished = self.total_outbufs_len or (asked is not None and asked.headers_finished)
        return bool(now - self.last_activity > (IDLE_S if unfinished or not crowded else HURRY_S))


class Server(TcpWSGIServer):  # type: ignore[misc]
    """Serves an app to many connections."""

    channel_class = Channel
    _stopping = False

    def stop(self, *_signal: object) -> None:
        """Let `run` come to its end; safe in a signal handler."""
        self._stopping = True
        self.trigger.pull_trigger()

    def run(self) -> None:
        """Serve until `stop` or Ctrl+C, then finish what was asked for: each request that has come in is answered."""
        try:
            while self._map and not self._stopping:
                self._turn(self.adj.asyncore_loop_timeout)
        except (SystemExit, KeyboardInterrupt):
            pass
        self._finish()

    def _turn(self, wait_s: float) -> None:
        self.asyncore.loop(timeout=wait_s, map=self._map, use_poll=self.adj.asyncore_use_poll, count=1)

    def _finish(self) -> None:
        """Take in nobody any more, and go on until every answer has been sent, or `FINISH_S` are over."""
        self.handle_accept()
        self.accepting = False
        self.del_channel(self._map)
        self.socket.close()
        end = time.monotonic() + FINISH_S
        while time.monotonic() < end and any(one.is_answering() for one in list(self.active_channels.values())):
            self._turn(_FINISH_TURN_S)
        self.task_dispatcher.shutdown()

    def handle_accept(self) -> None:
        """Take in the connections that wait: each turn of the loop looks at all that are held."""
        for _turn in range(_ACCEPTED_AT_ONCE):
            held = len(self.active_channels)
            super().handle_accept()
            if len(self.active_channels) == held:
                return

    def maintenance(self, now: float) -> None:
        """Close the connections that are overdue."""
        held = self.active_channels.values()
        crowded = len(held) > CROWDED * self.adj.connection_limit
        for channel in held:
            if channel.is_overdue(now, crowded=crowded):
                channel.will_close = True


def make_server(app: Flask, listener: socket.socket) -> Server:
    """Return a server of `app` on a bound socket."""
    settings: dict[str, Any] = {
        "threads": 8,
        "ident": "",
        "connection_limit": _allow_connections(),
        "cleanup_interval": _SWEEP_S,
        "asyncore_use_poll": True,  # the other way takes no more than 1,024 file descriptors
        # Beyond this nothing is even kept; the app's own, lower limit answers for each page.
        "max_request_body_size": max(int(app.config["MAX_CONTENT_LENGTH"]), UPLOAD_LIMIT) + 1,
        "clear_untrusted_proxy_headers": False,  # the app trusts as many proxies as PROXY_HOPS says, or none
    }
    place = (listener.family, listener.type, listener.proto, listener.getsockname())
    return Server(app, _sock=listener, bind_socket=False, sockinfo=place, **settings)


def _allow_connections() -> int:
    """Return how many connections may be held, after asking the system for as many file descriptors as they need."""
    try:
        import resource
    except ImportError:  # Windows counts its sockets apart from its files
        return CONNECTIONS
    wanted = _OTHER_FILES + _FILES_EACH * CONNECTIONS
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        best = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        with contextlib.suppress(OSError, ValueError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (best, hard))
        soft = resource.getrlimit(resource.RLIMIT_NOFILE)[0]
    if soft == resource.RLIM_INFINITY:
        return CONNECTIONS
    return max(50, min(CONNECTIONS, (soft - _OTHER_FILES) // _FILES_EACH))
