import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.records import reading, sealed_paper
from calclib.records.coaching import talks
from calclib.records.people import pseudonyms
from tests.departments.hub import Browser, Hub, running_hub
from tests.small_class.started import BLUEPRINT

pytestmark = pytest.mark.service("hub")

SET = "week-3"
SETTINGS = """c = get_config()
c.Exchange.root = "{place}/exchange"
c.ExchangeFactory.fetch_assignment = "calclib.plugins.stock_exchange.PrivateFetch"
"""


@pytest.fixture(scope="module")
def hub() -> Iterator[Hub]:
    """A hub with two students and an instructor; the servers of all three run."""
    if os.geteuid() != 0:
        pytest.fail("A hub with accounts of its own needs root: run these tests as root, or leave out --services.")
    for name, package in (
        ("configurable-http-proxy", "npm install -g configurable-http-proxy@5.2.0"),
        ("useradd", "apt-get install passwd"),
        ("setfacl", "apt-get install acl"),
    ):
        if shutil.which(name) is None:
            pytest.fail(f"{name} is not on this machine: install it ({package}), or leave out --services.")
    with running_hub(SETTINGS) as running:
        (running.place / "exchange").mkdir()
        (running.place / "exchange").chmod(0o777)
        yield running


@pytest.fixture(scope="module")
def handed_out(hub: Hub) -> Path:
    """The instructor's class, started and released by the instructor's own account; returns the class folder."""
    home = hub.home("prof")
    (home / "roster.csv").write_text(
        f"id,name,hub_user\nann,Ann Ash,{hub.accounts['ann']}\nben,Ben Birch,{hub.accounts['ben']}\nzoe,Zoe Zander,\n"
    )
    (home / "week-3.toml").write_text(BLUEPRINT)
    (home / ".jupyter").mkdir(exist_ok=True)
    (home / ".jupyter" / "nbgrader_config.py").write_text(
        f'load_subconfig("nbgrader_config.py", path="{home}/class")\n'
    )
    for path in (home / "roster.csv", home / "week-3.toml", home / ".jupyter", *(home / ".jupyter").iterdir()):
        shutil.chown(path, hub.accounts["prof"])
    ours(hub, "start", "class", "--roster", "roster.csv")
    ours(hub, "hand-out", "class", "week-3.toml")
    said = ours(hub, "release", "class", SET, str(hub.place / "exchange"))
    assert "Zoe Zander (zoe)" in said
    return home / "class"


def ours(hub: Hub, *words: str) -> str:
    """Run one of our commands as the instructor."""
    done = hub.run("prof", "-c", "from calclib.cli import main; main()", *words)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def answers(folder: Path, student: str) -> list[str]:
    """The right answers of one student, in order."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)[student])
        assert paper is not None
        return [part["answer"] for item in paper.items for part in item.record["parts"]]


def assignments(hub: Hub, role: str, action: str) -> None:
    """Press one of the buttons of nbgrader's list of assignments."""
    body = {"assignment_id": SET, "course_id": "dosage"}
    answer = hub.server(role, f"assignments/{action}", method="POST", body=body)
    assert answer["success"], answer


def press(hub: Hub, button: str) -> str:
    """Press one of the buttons of the instructor's formgrader; returns what nbgrader says of it."""
    answer = hub.server("prof", f"formgrader/api/{button}", method="POST", body={})
    if not answer["success"]:
        pytest.fail(f"{button}: {answer['error']}\n{answer['log'][-3_000:]}")
    return str(answer["log"])


def fill_in(hub: Hub, role: str, texts: list[str]) -> None:
    """Type answers into the notebook and save it, through the student's own server."""
    path = f"api/contents/{SET}/{SET}.ipynb"
    notebook = hub.server(role, path)["content"]
    for number, text in enumerate(texts, start=1):
        (cell,) = [c for c in notebook["cells"] if "".join(c["source"]).startswith(f"answer_{number} = ")]
        cell["source"] = f'answer_{number} = "{text}"'
    hub.server(role, path, method="PUT", body={"type": "notebook", "content": notebook})


def test_from_hand_out_to_feedback(hub: Hub, handed_out: Path) -> None:
    """Two students and an instructor, each with an account: nobody reads or displaces what is another's.

    Fetched and submitted by nbgrader's list of assignments, collected, marked and given back by its formgrader.
    """
    private = hub.place / "exchange" / "dosage" / "private"
    of_ann = private / hub.accounts["ann"] / SET / f"{SET}.ipynb"
    read, look = "import sys; open(sys.argv[1]).read()", "import os, sys; os.listdir(sys.argv[1])"
    assert hub.run("ann", "-c", read, str(of_ann)).returncode == 0
    for action, path in ((read, of_ann), (look, of_ann.parent), (look, private), (read, handed_out / "class.toml")):
        assert "PermissionError" in hub.run("ben", "-c", action, str(path)).stderr

    for role in ("ann", "ben"):
        assignments(hub, role, "fetch")
    own = {role: answers(handed_out, role) for role in ("ann", "ben")}
    fetched = json.loads((hub.home("ben") / SET / f"{SET}.ipynb").read_text(encoding="utf-8"))
    assert fetched == json.loads(class_folder(handed_out).rendered(SET, "ben").read_text(encoding="utf-8"))
    fill_in(hub, "ann", own["ann"])
    assignments(hub, "ann", "submit")
    # Ben hands in an empty notebook in Ann's name, later than she did, and then his own.
    forged = hub.run("ben", "-m", "nbgrader", "submit", SET, "--course", "dosage", f"--student={hub.accounts['ann']}")
    assert forged.returncode == 0, forged.stderr
    fill_in(hub, "ben", ["1 gtt/min", *own["ben"][1:]])
    assignments(hub, "ben", "submit")

    collected = press(hub, f"assignment/{SET}/collect")
    assert f"was made by the account '{hub.accounts['ben']}'" in collected
    where = class_folder(handed_out)
    stored = json.loads(where.submitted(SET, "ann").read_text(encoding="utf-8"))
    assert any("".join(cell["source"]) == f'answer_1 = "{own["ann"][0]}"' for cell in stored["cells"])

    press(hub, f"submission/{SET}/ann/autograde")
    assert "2 notebooks marked" in ours(hub, "mark", "class", SET)
    listed = hub.server("prof", f"formgrader/api/submissions/{SET}")
    scores = {one["student"]: (one["autograded"], one["score"]) for one in listed if one["autograded"]}
    assert scores == {"ann": (True, 12.0), "ben": (True, 11.0)}

    ours(hub, "report", "class", SET)
    press(hub, f"assignment/{SET}/release_feedback")
    for role in ("ann", "ben"):
        assignments(hub, role, "fetch_feedback")
        (page,) = (hub.home(role) / SET / "feedback").glob(f"*/{SET}.html")
        assert page.read_bytes() == where.feedback(SET, role).read_bytes()


def desk_of(hub: Hub) -> str:
    """Address of the instructor's desk, with the prefix under which the proxy has it."""
    return f"{hub.address}/user/{hub.accounts['prof']}/calclib/desk"


def test_the_desk_is_the_instructor_s_alone(hub: Hub, handed_out: Path) -> None:
    """Behind the proxy, by the hub's login: the instructor reads and records there; a student's login gets 403.

    Without a login one is sent to the hub, and in a student's own server there is no desk.
    """
    config = hub.home("prof") / ".jupyter" / "jupyter_server_config.py"
    config.write_text(f'c.CalclibDesk.class_folder = "{handed_out}"\n')
    shutil.chown(config, hub.accounts["prof"])
    hub.restart("prof")
    prof, ann = hub.log_in("prof"), hub.log_in("ann")
    sets = prof.get(desk_of(hub))
    assert sets.status == 200 and "Week 3: <infusions>" in sets.words
    place = sets.text.split('<th scope="row"><a href="')[1].split('"')[0]
    assert place == f"/user/{hub.accounts['prof']}/calclib/desk/sets/{SET}"
    student = prof.get(f"{hub.address}{place}/students/ann")
    line = {**student.fields(-1), "do": "coached", "by": "Dr. Elm", "note": "Drop rates.", "agreed": ""}
    recorded = prof.post(f"{hub.address}{place}/students/ann/talks", line)
    assert recorded.status == 200 and "Dr. Elm: Drop rates." in recorded.words
    for address in (desk_of(hub), f"{hub.address}{place}/students/ann"):
        refused = ann.get(address)
        assert refused.status == 403, refused.words
        assert "Ann Ash" not in refused.text and "Week 3" not in refused.text
    assert ann.post(f"{hub.address}{place}/students/ann/talks", {**line, "note": "Mine."}).status == 403
    assert "Hub" in Browser().get(desk_of(hub)).words
    assert ann.get(desk_of(hub).replace(hub.accounts["prof"], hub.accounts["ann"])).status == 404
    with reading(class_folder(handed_out)) as connection:
        assert [one.note for lines in talks(connection).values() for one in lines] == ["Drop rates."]
