"""What every test stands on: which tests are left out, and a home of their own for Jupyter, matplotlib and nbgrader."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

collect_ignore_glob = [
    "*.ipynb"
]  # notebooks under tests/ are material, often damaged on purpose; course/ holds those that run

# What several tests share asserts too.
pytest.register_assert_rewrite(*(f"tests.{path.name}" for path in Path(__file__).parent.iterdir() if path.is_dir()))

SLOW_FILES = ("test_cluster.py", "test_proving.py", "test_little_room.py", "test_whole_term.py", "test_killed.py")
"""Files without services that run longest."""

LEFT_OUT = pytest.StashKey[Counter[str]]()
TEST_HOME = pytest.StashKey[str]()
REACHED = pytest.StashKey[list[str]]()

# A failure in CI must come back on the next run; the full tier looks further each time.
settings.register_profile("calclib", deadline=None, derandomize=True)
settings.register_profile(
    "full", deadline=None, max_examples=2_000, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Two switches, each also an environment variable so that one command line serves people and CI."""
    group = parser.getgroup("calclib")
    group.addoption(
        "--services",
        action="store_true",
        default=os.environ.get("CALCLIB_SERVICES") == "required",
        help="run the tests that need Chromium, PostgreSQL or a hub; one that is missing is a failure "
        "(the same as CALCLIB_SERVICES=required)",
    )
    group.addoption(
        "--full",
        action="store_true",
        default=os.environ.get("CALCLIB_FULL") == "1",
        help="run the longer proofs too (the same as CALCLIB_FULL=1)",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Give the run a home of its own, so that no test reads or writes the settings of the person who runs it."""
    config.stash[LEFT_OUT] = Counter()
    config.stash[REACHED] = []
    if config.getini("enable_assertion_pass_hook"):
        _note_expected_errors(config.stash[REACHED])
    settings.load_profile("full" if config.getoption("--full") else "calclib")
    if config.getoption("--full"):
        os.environ["CALCLIB_FULL"] = "1"  # tests that look at more in this tier ask for it
    if "CALCLIB_TEST_HOME" in os.environ:
        return
    home = Path(tempfile.mkdtemp(prefix="calclib-tests-"))
    config.stash[TEST_HOME] = str(home)
    os.environ["CALCLIB_TEST_HOME"] = str(home)
    os.environ["MPLBACKEND"] = "Agg"
    os.environ["JUPYTER_PLATFORM_DIRS"] = "1"
    os.environ["CALCLIB_PRACTICE_FILE"] = str(home / "practice.json")
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR", "MPLCONFIGDIR"):
        folder = home / name.lower()
        folder.mkdir()
        os.environ[name] = str(folder)


def pytest_unconfigure(config: pytest.Config) -> None:
    """Remove that home again; workers of a parallel run use the one of the run that started them."""
    home = config.stash.get(TEST_HOME, None)
    if home is not None:
        shutil.rmtree(home, ignore_errors=True)
        os.environ.pop("CALCLIB_TEST_HOME", None)


def _note_expected_errors(reached: list[str]) -> None:
    """To expect an error is an assertion too."""
    raises = pytest.raises

    def noted(*args: Any, **kwargs: Any) -> Any:
        reached.append("raises")
        return raises(*args, **kwargs)

    pytest.raises = noted


def pytest_assertion_pass(item: pytest.Item, lineno: int, orig: str, expl: str) -> None:
    """Note an assertion that held; pytest tells of it only with `-o enable_assertion_pass_hook=true`."""
    if len(item.config.stash[REACHED]) < 1:
        item.config.stash[REACHED].append(orig)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """Where assertions are told of, a case of a parametrized test in which none was reached is a failure."""
    reached = item.config.stash[REACHED]
    reached.clear()
    yield
    if item.config.getini("enable_assertion_pass_hook") and hasattr(item, "callspec") and not reached:
        pytest.fail("No assertion was reached: run this test only for the cases about which it says something.")


@pytest.hookimpl(tryfirst=True)
def pytest_xdist_auto_num_workers() -> int:
    """One more than the logical cores, since many tests wait for a browser, a kernel or the disk; at most four."""
    return min(4, 1 + (os.cpu_count() or 1))


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what was not asked for, and count it; begin with the files that take longest, so that none is last."""
    kept: list[pytest.Item] = []
    left_out: list[pytest.Item] = []
    for item in items:
        kind = _kind_left_out(config, item)
        if kind is None:
            kept.append(item)
        else:
            left_out.append(item)
            config.stash[LEFT_OUT][kind] += 1
    if left_out:
        config.hook.pytest_deselected(items=left_out)
    items[:] = sorted(kept, key=_begins_late)


def _begins_late(item: pytest.Item) -> bool:
    """Whether nothing in an item's file waits for other programs, as all of SLOW_FILES do."""
    return item.get_closest_marker("service") is None and item.path.name not in SLOW_FILES


def _kind_left_out(config: pytest.Config, item: pytest.Item) -> str | None:
    for kind, switch in (("service", "--services"), ("full", "--full")):
        if item.get_closest_marker(kind) is not None and not config.getoption(switch):
            return kind
    return None


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Hand the count of a parallel run's worker to the run that prints it."""
    output = getattr(session.config, "workeroutput", None)
    if output is not None:
        output["calclib_left_out"] = dict(session.config.stash[LEFT_OUT])


class _Workers:
    """Takes over the counts of a parallel run: each worker collects the same tests, so one count is enough."""

    def pytest_testnodedown(self, node: object) -> None:
        counted = getattr(node, "workeroutput", {}).get("calclib_left_out")
        config = getattr(node, "config", None)
        if counted is not None and isinstance(config, pytest.Config):
            config.stash[LEFT_OUT] = Counter(counted)


def pytest_plugin_registered(plugin: object, manager: pytest.PytestPluginManager) -> None:
    """Listen to workers only where the plugin that starts them is loaded."""
    if manager.hasplugin("xdist") and not manager.hasplugin("calclib-workers"):
        manager.register(_Workers(), "calclib-workers")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Say what was left out, in the last lines, with the switch that brings it in."""
    counted = config.stash[LEFT_OUT]
    services, full = counted["service"], counted["full"]
    if config.getoption("--services"):
        terminalreporter.write_line("Service tests were run too; none was left out.")
    else:
        terminalreporter.write_line(
            f"Left out: {services} service tests, which need Chromium, PostgreSQL or a hub (run them with --services)."
        )
    if full:
        terminalreporter.write_line(f"Left out: {full} longer proofs (run them with --full).")


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of the machine's Chromium, for tests marked `service("chromium")`."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        found = shutil.which(name)
        if found is not None:
            return found
    pytest.fail(
        "Chromium is not on this machine: install it (Debian: apt-get install chromium), or leave out --services."
    )
