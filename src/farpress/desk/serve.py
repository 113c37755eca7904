"""Start the desk: a port, the codes on the terminal, a certificate where it is asked for, the browser."""

from __future__ import annotations

import socket
import sys
import threading
import time
import webbrowser
from pathlib import Path

from farpress.errors import FarpressError

__all__ = ["serve"]


def serve(where: Path, *, port: int, share: bool, tls: bool, browser: bool) -> int:
    """Serve until it is stopped from the terminal.

    Raises:
        FarpressError: the port is taken, or the libraries of the desk are not installed.
    """
    try:
        from farpress.desk.access import Access
        from farpress.desk.app import make_app
        from farpress.web.serving import serve_app
    except ImportError as error:
        raise FarpressError(
            f"The desk needs some more packages ({error.name}). Install them with: pip install"
            " 'farpress[desk]'"
        ) from error
    if tls and not share:
        raise FarpressError("--tls goes with --share: on this machine alone nobody can listen.")
    access = Access.for_network() if share else Access.for_machine()
    listening = _socket("0.0.0.0" if share else "127.0.0.1", port)
    number = listening.getsockname()[1]
    app = make_app(where, access=access)
    certificate = None
    if tls:
        from farpress.desk.certificate import own_certificate

        certificate = own_certificate(_addresses())
    scheme = "https" if tls else "http"
    _greet(
        where,
        [
            f"{scheme}://{host}:{number}/"
            for host in (["127.0.0.1", *_addresses()] if share else ["127.0.0.1"])
        ],
        access,
        certificate,
    )
    if browser:
        threading.Thread(target=_open, args=(f"{scheme}://127.0.0.1:{number}/",), daemon=True).start()

    try:
        serve_app(
            app,
            listening,
            certificate=certificate.chain if certificate else None,
            key=certificate.key if certificate else None,
            finish_s=2,
            ending=app.state.desk.hub.close,  # news of open pages would hold up the end
        )
    finally:
        if certificate is not None:
            certificate.remove()
    return 0


def _socket(host: str, port: int) -> socket.socket:
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
    except OSError as error:
        made.close()
        raise FarpressError(
            f"Port {port} is not free ({error.strerror}). Is the desk open already? Take another with --port,"
            " or any free one with --port 0."
        ) from error
    made.listen(128)
    return made


def _addresses() -> list[str]:
    """Addresses of this machine on its networks; none is asked anything."""
    found = []
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(("192.0.2.1", 9))  # a documentation address: picks the way out, sends nothing
        found.append(probe.getsockname()[0])
    except OSError:
        pass
    finally:
        probe.close()
    return found


def _greet(where: Path, addresses: list[str], access: object, certificate: object) -> None:
    from farpress.desk.access import Access, DeskRole

    assert isinstance(access, Access)
    lines = [f"The desk is open for {where}:", *(f"  {address}" for address in addresses)]
    if access.shared:
        lines += ["Codes for the session at hand; give each person the one for what they do:"]
        lines += [f"  {access.codes[role][:4]} {access.codes[role][4:]}   {role.says}" for role in DeskRole]
        if certificate is None:
            lines += ["What goes over this network can be read by others on it. --tls encrypts it."]
        else:
            print_of = certificate.fingerprint  # type: ignore[attr-defined]
            lines += [f"The browser will ask about the certificate. Its fingerprint: {print_of}"]
    elif access.codes:
        code = access.codes[DeskRole.INSTALLER]
        lines += [f"Another account of this machine comes in with the code {code[:4]} {code[4:]}."]
    lines += ["Everything is saved as it is made. Ctrl+C closes the desk."]
    sys.stdout.write("\n".join(lines) + "\n")
    sys.stdout.flush()


def _open(address: str) -> None:
    time.sleep(0.3)
    webbrowser.open(address)
