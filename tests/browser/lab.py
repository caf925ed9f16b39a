"""A JupyterLab of our own on a free port, with its settings in a folder of its own."""

from __future__ import annotations

import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

STARTED_WITHIN = 60  # seconds
THEMES = {"light": "JupyterLab Light", "dark": "JupyterLab Dark"}
SETTINGS = {
    "apputils-extension/notification": {"fetchNews": "false", "checkForUpdates": False},
    # All cells are on the page, also those that nobody has scrolled to.
    "notebook-extension/tracker": {"windowingMode": "none"},
}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def running_lab(folder: Path, home: Path, options: Sequence[str] = (), *, theme: str = "light") -> Iterator[str]:
    """Serve a folder; yields the address of a page of Lab, with `{path}` and the token in it.

    Args:
        folder: What is served.
        home: A folder for settings, of which nothing is kept.
        options: Further words of the command.
        theme: One of THEMES.
    """
    token, port = secrets.token_hex(16), free_port()
    address = f"http://127.0.0.1:{port}"
    with (home / "lab.log").open("w") as log:
        command = [*_command(folder, token, port), *options]
        server = subprocess.Popen(command, env=own_settings(home, theme), stdout=log, stderr=log)
        try:
            _wait_for(f"{address}/api?token={token}", server, home / "lab.log")
            yield f"{address}/lab/tree/{{path}}?reset&token={token}"
        finally:
            server.send_signal(signal.SIGINT)
            server.send_signal(signal.SIGTERM)
            try:
                server.wait(timeout=20)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()


def chromium() -> str | None:
    """The Chromium of this system, or None."""
    return shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


def _command(folder: Path, token: str, port: int) -> list[str]:
    options = {
        "ServerApp.root_dir": str(folder),
        "ServerApp.port": str(port),
        "ServerApp.port_retries": "0",
        "ServerApp.ip": "127.0.0.1",
        "IdentityProvider.token": token,
        "LabApp.check_for_updates_class": "jupyterlab.NeverCheckForUpdate",
    }
    root = ["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    return [
        sys.executable,
        "-m",
        "jupyterlab",
        "--no-browser",
        *root,
        *(f"--{name}={value}" for name, value in options.items()),
    ]


def own_settings(home: Path, theme: str) -> dict[str, str]:
    """Return the environment of a server whose settings are those of a folder of its own."""
    environment = dict(os.environ)
    names = ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR", "MPLCONFIGDIR")
    for name in (*names, "JUPYTERLAB_SETTINGS_DIR", "JUPYTERLAB_WORKSPACES_DIR"):
        place = home / name.lower()
        place.mkdir(parents=True, exist_ok=True)
        environment[name] = str(place)
    for name, values in {**SETTINGS, "apputils-extension/themes": {"theme": THEMES[theme]}}.items():
        place = home / "jupyterlab_settings_dir" / "@jupyterlab" / f"{name}.jupyterlab-settings"
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(json.dumps(values))
    spec = home / "jupyter_data_dir" / "kernels" / "python3"
    spec.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"]
    # The kernel of the environment that runs the tests, whatever other kernels the machine has.
    (spec / "kernel.json").write_text(json.dumps({"argv": command, "display_name": "Python 3", "language": "python"}))
    return environment


def free_port() -> int:
    """Return a port that nobody uses."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(address: str, server: subprocess.Popen[bytes], log: Path) -> None:
    end = time.monotonic() + STARTED_WITHIN
    while time.monotonic() < end and server.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=2):  # noqa: S310 - an address of our own
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError(f"JupyterLab didn't start:\n{log.read_text()[-2000:]}")
