"""Start a Jupyter server of one's own that serves the desk of one class, and nothing else is loaded into it."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Any

from calclib.class_files.class_folder import class_folder
from calclib.records.database import reading
from calclib.records.sealed import sets_in_order


def start_desk(folder: Path, *, port: int, browser: bool, started: Callable[[str], None]) -> None:
    """Serve the desk of a class on this machine alone until the server is stopped.

    Args:
        folder: The class folder.
        port: The port; the next free one is taken if it is in use.
        browser: Whether the browser is opened.
        started: Called with the address, which holds the token.

    Raises:
        BadInput: there is no class folder, or it is wrong.
    """
    where = class_folder(folder)
    with reading(where) as connection:
        sets_in_order(connection)
    from calclib.desk.extension import CalclibDesk

    token = secrets.token_hex(24)
    options = {
        "CalclibDesk.class_folder": str(where.path),
        "ServerApp.root_dir": str(where.path),
        "ServerApp.ip": "127.0.0.1",
        "ServerApp.port": str(port),
        "ServerApp.open_browser": str(browser),
        "ServerApp.answer_yes": "True",
        "ServerApp.log_level": "WARN",
        "IdentityProvider.token": token,
        "PasswordIdentityProvider.hashed_password": "",
    }
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        options["ServerApp.allow_root"] = "True"
    words = [f"--{name}={value}" for name, value in options.items()]
    server: Any = CalclibDesk.initialize_server(argv=words)  # type: ignore[no-untyped-call]
    started(f"http://127.0.0.1:{server.port}{server.base_url}{CalclibDesk.extension_url.lstrip('/')}?token={token}")
    server.start()
