"""The HTTP server: waitress, with the app's own page for a body that is too large."""

from __future__ import annotations

import socket
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


class Server(TcpWSGIServer):  # type: ignore[misc]
    """Serves an app to many connections."""

    channel_class = Channel


def make_server(app: Flask, listener: socket.socket) -> Server:
    """Return a server of `app` on a bound socket."""
    settings: dict[str, Any] = {
        "threads": 8,
        "ident": "",
        # Beyond this nothing is even kept; the app's own, lower limit answers for each page.
        "max_request_body_size": max(int(app.config["MAX_CONTENT_LENGTH"]), UPLOAD_LIMIT) + 1,
        "clear_untrusted_proxy_headers": False,  # the app trusts as many proxies as PROXY_HOPS says, or none
    }
    place = (listener.family, listener.type, listener.proto, listener.getsockname())
    return Server(app, _sock=listener, bind_socket=False, sockinfo=place, **settings)
