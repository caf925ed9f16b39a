"""A JupyterHub of our own on loopback, with accounts of its own on this machine; all of it is removed again."""

from __future__ import annotations

import json
import os
import pwd
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import calclib
from tests.desk.served import Answer

STARTED_WITHIN = 60  # seconds
# Large packages that neither the hub nor a server needs; linking their files would take most of the time.
_LEFT_OUT = ("jedi", "scipy", "mypy", "mypyc", "pip", "playwright", "dask", "distributed", "hypothesis")


@dataclass(frozen=True)
class Hub:
    """A hub that runs.

    Attributes:
        place: The folder that holds all of it.
        python: The Python of the environment that every account can read.
        address: Address of the proxy, without a slash at its end.
        token: Token of a service that may do everything.
        accounts: Name of the account of each role ("ann", "ben", "prof").
    """

    place: Path
    python: Path
    address: str
    token: str
    accounts: dict[str, str]

    def home(self, role: str) -> Path:
        """Home folder of an account."""
        return self.place / "home" / self.accounts[role]

    def call(self, path: str, *, method: str = "GET", body: object = None, accept: tuple[int, ...] = ()) -> Any:
        """Call the hub or somebody's server; returns what it answers, or the code of an error that is accepted."""
        data = None if body is None else json.dumps(body).encode()
        headers = {"Authorization": f"token {self.token}", "Content-Type": "application/json"}
        request = urllib.request.Request(f"{self.address}{path}", data=data, headers=headers, method=method)  # noqa: S310
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:  # noqa: S310 (our own hub on loopback)
                text = answer.read().decode()
        except urllib.error.HTTPError as error:
            if error.code in accept:
                return error.code
            raise AssertionError(f"{method} {path}: {error.code} {error.read().decode()[-1000:]}") from None
        return json.loads(text) if text.strip() else None

    def server(self, role: str, path: str, *, method: str = "GET", body: object = None) -> Any:
        """Call the server of one account, as its page in the browser does."""
        return self.call(f"/user/{self.accounts[role]}/{path}", method=method, body=body)

    def restart(self, role: str) -> None:
        """Stop the server of one account and start it again, so that it reads its configuration."""
        account = self.accounts[role]
        self.call(f"/hub/api/users/{account}/server", method="DELETE")
        _wait_until(lambda: not self.call(f"/hub/api/users/{account}")["servers"], account)
        self.call(f"/hub/api/users/{account}/server", method="POST")
        _wait_until(lambda: self.call(f"/hub/api/users/{account}")["server"], account)

    def log_in(self, role: str) -> Browser:
        """A browser in which an account came in by the hub's own login page."""
        browser = Browser()
        page = browser.get(f"{self.address}/hub/login")
        fields = {**page.fields(), "username": self.accounts[role], "password": "any"}
        entered = browser.post(f"{self.address}/hub/login", fields)
        assert entered.status == 200, entered.words
        return browser

    def run(self, role: str, *words: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
        """Run Python as one of the accounts, as in a terminal of the hub."""
        command = ["runuser", "-u", self.accounts[role], "--", str(self.python), *words]
        env = {"HOME": str(self.home(role)), "PATH": "/usr/sbin:/usr/bin:/sbin:/bin", "LANG": "C.UTF-8"}
        return subprocess.run(command, cwd=cwd or self.home(role), env=env, capture_output=True, text=True, timeout=120)

    def spawn(self) -> None:
        """Start the servers of all accounts at once, and wait until they answer."""
        for account in self.accounts.values():
            self.call(f"/hub/api/users/{account}", method="POST", accept=(409,))
            self.call(f"/hub/api/users/{account}/server", method="POST")
        for account in self.accounts.values():
            _wait_until(lambda account=account: self.call(f"/hub/api/users/{account}")["server"], account)  # type: ignore[misc]


@dataclass
class Browser:
    """A browser without a screen, with cookies of its own."""

    cookies: CookieJar = field(default_factory=CookieJar)

    def get(self, address: str) -> Answer:
        """Open a page."""
        return self._send(address, None)

    def post(self, address: str, fields: Mapping[str, str]) -> Answer:
        """Send a form."""
        return self._send(address, urllib.parse.urlencode(fields).encode())

    def _send(self, address: str, data: bytes | None) -> Answer:
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.cookies))
        try:
            with opener.open(urllib.request.Request(address, data), timeout=120) as got:  # noqa: S310 - our own hub
                return Answer(got.status, dict(got.headers), got.read().decode())
        except urllib.error.HTTPError as refused:
            return Answer(refused.code, dict(refused.headers), refused.read().decode())


@contextmanager
def running_hub(settings: str) -> Iterator[Hub]:
    """Make the accounts and an environment that they can read, and run a hub.

    Args:
        settings: nbgrader's configuration for everyone; `{place}` in it is the folder that holds all of it.
    """
    place = Path(tempfile.mkdtemp(prefix="calclib-hub-", dir="/var/tmp"))
    place.chmod(0o755)
    sign = secrets.token_hex(2)
    accounts = {role: f"calc{sign}{role}" for role in ("ann", "ben", "prof")}
    try:
        (place / "home").mkdir()
        for account in accounts.values():
            _run("useradd", "-m", "-b", str(place / "home"), "-K", "UMASK=077", "-s", "/bin/sh", account)
        python = _environment(place / "env")
        (place / "env" / "etc" / "jupyter" / "nbgrader_config.py").write_text(settings.format(place=place))
        with _hub(place, python, accounts) as hub:
            yield hub
    finally:
        for account in accounts.values():
            subprocess.run(["userdel", "-f", account], capture_output=True)
        shutil.rmtree(place, ignore_errors=True)


@contextmanager
def _hub(place: Path, python: Path, accounts: dict[str, str]) -> Iterator[Hub]:
    ports = [_free_port() for _ in range(3)]
    token = secrets.token_hex(16)
    private = place / "hub"
    private.mkdir(mode=0o700)
    (private / "config.py").write_text(
        f"""c = get_config()
c.JupyterHub.bind_url = "http://127.0.0.1:{ports[0]}"
c.JupyterHub.hub_bind_url = "http://127.0.0.1:{ports[1]}"
c.ConfigurableHTTPProxy.api_url = "http://127.0.0.1:{ports[2]}"
c.ConfigurableHTTPProxy.pid_file = "{private}/proxy.pid"
c.JupyterHub.db_url = "sqlite:///{private}/hub.sqlite"
c.JupyterHub.cookie_secret_file = "{private}/cookie_secret"
c.JupyterHub.authenticator_class = "dummy"
c.Authenticator.allowed_users = {set(accounts.values())!r}
c.JupyterHub.spawner_class = "jupyterhub.spawner.LocalProcessSpawner"
c.Spawner.cmd = ["{python}", "-m", "jupyterhub.singleuser"]
c.Spawner.environment = {{"PATH": "{python.parent}:/usr/bin:/bin", "LANG": "C.UTF-8"}}
c.JupyterHub.tornado_settings = {{"slow_spawn_timeout": 0}}
c.LocalProcessSpawner.interrupt_timeout = 1
c.LocalProcessSpawner.term_timeout = 5
c.Spawner.start_timeout = {STARTED_WITHIN * 2}
c.Spawner.http_timeout = {STARTED_WITHIN * 2}
c.JupyterHub.services = [{{"name": "tests", "api_token": "{token}"}}]
c.JupyterHub.load_roles = [
    {{"name": "tests", "scopes": ["admin:users", "admin:servers", "access:servers", "tokens", "shutdown"],
      "services": ["tests"]}},
]
"""
    )
    hub = Hub(place, python, f"http://127.0.0.1:{ports[0]}", token, accounts)
    env = {"PATH": f"{python.parent}:{os.environ['PATH']}", "HOME": str(private), "LANG": "C.UTF-8"}
    command = [str(python), "-m", "jupyterhub", "-f", str(private / "config.py")]
    with (private / "log").open("w") as log:
        process = subprocess.Popen(command, cwd=private, env=env, stdout=log, stderr=log, start_new_session=True)
        try:
            _wait_until(lambda: _answers(hub), "the hub", process)
            hub.spawn()
            yield hub
        except BaseException:
            print((private / "log").read_text()[-6_000:])
            raise
        finally:
            _stop(process, private / "proxy.pid", accounts)


def _stop(process: subprocess.Popen[bytes], proxy: Path, accounts: dict[str, str]) -> None:
    """Ask the hub to stop, which then stops its servers and its proxy; end what is left of them all the same."""
    number = proxy.read_text() if proxy.exists() else ""
    process.send_signal(signal.SIGTERM)
    try:
        process.wait(timeout=40)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        if number.isdigit():
            _kill(int(number))
    users = {pwd.getpwnam(account).pw_uid for account in accounts.values()}
    for path in Path("/proc").glob("[0-9]*"):
        try:
            if path.stat().st_uid in users:
                _kill(int(path.name))
        except OSError:
            continue


def _kill(number: int) -> None:
    with suppress(ProcessLookupError):
        os.kill(number, signal.SIGKILL)


def _answers(hub: Hub) -> bool:
    try:
        hub.call("/hub/api/")
    except (AssertionError, OSError):
        return False
    return True


def _wait_until(ready: Any, what: str, process: subprocess.Popen[bytes] | None = None) -> None:
    end = time.monotonic() + 3 * STARTED_WITHIN
    while not ready():
        assert process is None or process.poll() is None, f"{what} has stopped"
        assert time.monotonic() < end, f"{what} was not ready in time"
        time.sleep(0.3)


def _environment(place: Path) -> Path:
    """Make a copy of this environment that other accounts can read, and return its Python."""
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    base = next(
        (path for path in (Path(sys._base_executable).resolve(), Path("/usr/bin") / version) if _public(path)), None
    )  # type: ignore[attr-defined]
    assert base is not None, (
        f"No {version} here can be run by other accounts: install Debian's (apt-get install python3)."
    )
    _run(str(base), "-m", "venv", "--without-pip", str(place))
    ours = Path(sys.prefix)
    packages = Path("lib", version, "site-packages")
    leave = shutil.ignore_patterns(*_LEFT_OUT)
    shutil.copytree(ours / packages, place / packages, copy_function=_link, dirs_exist_ok=True, ignore=leave)
    for name in ("etc/jupyter", "share/jupyter/nbconvert", "share/jupyterhub"):
        shutil.copytree(ours / name, place / name, copy_function=_link)
    # An editable installation points to where it was made, which others may not read.
    for path in (place / packages).glob("__editable__*"):
        shutil.rmtree(path) if path.is_dir() else path.unlink()
    shutil.copytree(Path(calclib.__file__).parent, place / packages / "calclib", dirs_exist_ok=True)
    # What the wheel puts there, and an editable installation doesn't.
    turned_on = place / "etc" / "jupyter" / "jupyter_server_config.d"
    turned_on.mkdir(parents=True, exist_ok=True)
    shutil.copy2(Path(calclib.__file__).parent / "desk" / "calclib-desk.json", turned_on)
    _run("chmod", "-R", "a+rX", str(place))
    return place / "bin" / "python"


def _link(source: str, target: str) -> None:
    # Some ten thousand files: a second name for each takes a second or two.
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)


def _public(path: Path) -> bool:
    return path.exists() and all(one.stat().st_mode & 0o001 for one in (path, *path.parents))


def _run(*command: str) -> None:
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, f"{' '.join(command)}: {done.stderr}"


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])
