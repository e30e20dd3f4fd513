"""Whether a port is free, asked before slow work is done for nothing."""

from __future__ import annotations

import errno
import os
import socket

from app.door.trouble import Trouble

EXIT_CODE = 2


def check(host: str, port: int) -> None:
    """Raise Trouble, with a sentence, when a server could not listen at ``host``:``port``."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with socket.socket(family, kind, protocol) as probe:
            if os.name == "posix":  # elsewhere this option would let two servers share a port
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
            probe.listen(1)
    except OSError as error:
        raise trouble(error, host, port) from error


def trouble(error: OSError, host: str, port: int) -> Trouble:
    """The sentence for a failed attempt to listen."""
    if isinstance(error, socket.gaierror) or error.errno == errno.EADDRNOTAVAIL:
        return Trouble(
            f"{host} is not an address of this machine. Choose another with --host, "
            "for instance --host 127.0.0.1",
            EXIT_CODE,
        )
    if error.errno == errno.EADDRINUSE:
        return Trouble(f"Port {port} is in use by another program. {_another(port)}", EXIT_CODE)
    if error.errno == errno.EACCES:
        return Trouble(f"This user may not open port {port}. {_another(8000)}", EXIT_CODE)
    return Trouble(f"Port {port} cannot be opened: {error}. {_another(port)}", EXIT_CODE)


def _another(port: int) -> str:
    other = port + 1 if port < 65535 else 8000
    return f"Choose another with --port, for instance: python3 -m app --port {other}"
