"""`diag serve`: the page, on this machine alone unless a token guards it."""

from __future__ import annotations

import socket
from pathlib import Path

from diag import knowledgebase
from diag.cli.output import put
from diag.errors import Fault, InputError
from diag.extras import needs

__all__ = ["serve"]

_LOOPBACK = ("127.0.0.1", "::1", "localhost")


def serve(host: str, port: int, token: str, folder: str) -> None:
    """Serve until it is told to stop. Raises InputError, before anything is opened to others."""
    needs("the page", "web")
    import uvicorn  # the server and its framework take half a second, which no other command pays

    from diag.web.app import create_app

    kept = _folder(Path(folder))
    _check_token(host, token)
    app = create_app(kept, knowledgebase.load(), token or None)
    listening = _listen(host, port)
    put(f"Open {_address(listening)}\nWalks are kept in {kept}. Ctrl-C ends; nothing is lost.")
    config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, proxy_headers=False,
                            limit_concurrency=200, timeout_keep_alive=10, timeout_graceful_shutdown=5)
    uvicorn.Server(config).run(sockets=[listening])


def _folder(path: Path) -> Path:
    try:
        path.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(Fault(f"can't be used as folder ({error.strerror})", str(path))) from None
    return path


def _check_token(host: str, token: str) -> None:
    from diag.web.access import LEAST_TOKEN

    if not token and host not in _LOOPBACK:
        raise InputError(f"--host {host} lets others in; give --token, {LEAST_TOKEN} characters or more")
    if token and (len(token) < LEAST_TOKEN or not token.isascii() or not token.isprintable() or " " in token):
        raise InputError(f"--token: give {LEAST_TOKEN} or more plain characters without blanks")


def _listen(host: str, port: int) -> socket.socket:
    """Open before anything is said: a taken port is one clear line, and who reads the address can come at once."""
    try:
        family, kind, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        listening = socket.socket(family, kind)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(address)
        listening.listen()
    except OSError as error:
        raise InputError(f"--host {host} --port {port} can't be opened ({error.strerror}); give another") from None
    return listening


def _address(listening: socket.socket) -> str:
    host, port, *_ = listening.getsockname()
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"
