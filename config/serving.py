"""Serve the house with waitress: one process, a few threads, enough for a workshop."""

import os
import socket
import subprocess
import sys
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

from config.env import flag, refuse_weak, secret
from production.quantities.domain.refusal import Refused

BASE = Path(__file__).resolve().parent.parent
BIND = "127.0.0.1:8000"
# Above the largest paper or sheet that is taken, so that it is refused in words.
LARGEST = 32 * 2**20


def refuse_unsafe() -> None:
    """Nothing is put on a network that gives its key or its inside away."""
    try:
        refuse_weak(secret("SECRET_KEY", spare=None))
        told = flag("DEBUG", default=False)
    except ImproperlyConfigured as fault:
        raise Refused(str(fault)) from fault
    if told:
        raise Refused(
            "DEBUG=yes shows the inside of the book to whoever meets a fault: "
            "leave DEBUG out to serve."
        )


def in_front() -> list[str]:
    """What waitress is told of the web server in front, if there is one.

    It takes who asks, and whether by https, from that one address; of anybody else it
    strikes such headers out before the pages see them.
    """
    if not settings.TRUSTED_PROXY:
        return ["--clear-untrusted-proxy-headers"]
    return [
        f"--trusted-proxy={settings.TRUSTED_PROXY}",
        "--trusted-proxy-headers=x-forwarded-for x-forwarded-proto",
        "--clear-untrusted-proxy-headers",
    ]


def refuse_taken(bind: str) -> None:
    """Say so before anything is done if the address is not free or not one."""
    host, colon, port = bind.rpartition(":")
    if not colon or not host or not (port.isascii() and port.isdigit()):
        raise Refused(f"{bind} is no address: write it like {BIND}.")
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host.strip("[]"), int(port)))
        except (OSError, OverflowError) as fault:
            raise Refused(
                f"{bind} cannot be served: {fault}. Stop what listens there, or choose "
                "another port with --bind."
            ) from fault


def serve(bind: str, **environment: str) -> None:
    """Hand this process over to waitress; it returns only where it cannot be.

    A process of its own reads the settings anew, as a server and not as a command.
    """
    orders = [sys.executable, "-m", "waitress", f"--listen={bind}"]
    orders += in_front()
    orders += [f"--max-request-body-size={LARGEST}", "config.wsgi:application"]
    os.chdir(BASE)
    sys.stdout.flush()
    around = {**os.environ, "DEBUG": "no", **environment}
    if os.name == "nt":
        # There exec leaves the prompt and the server to fight over the terminal.
        subprocess.run(orders, env=around, check=False)
        return
    os.execve(sys.executable, orders, around)
