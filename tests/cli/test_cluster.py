import builtins
import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from calclib.class_files import class_folder
from calclib.cli.cluster import maybe_cluster
from calclib.cli.proofs import proof_rows
from calclib.errors import BadInput
from calclib.judging_papers import mark
from calclib.models import bank
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import BLUEPRINT, NOW

SET = "week-3"
CLASS = 24

pytestmark = [
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning:distributed.*"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]


@pytest.fixture(scope="module")
def scheduler() -> Iterator[str]:
    """The address of a scheduler on this machine with two workers, each a process of its own."""
    from distributed import LocalCluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address="127.0.0.1:0", host="127.0.0.1") as cluster:
        yield cluster.scheduler_address


def answers(folder: Path, student: str) -> list[str]:
    """The right answers of one student, in order."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)[student])
        assert paper is not None
        return [part["answer"] for item in paper.items for part in item.record["parts"]]


def a_class(place: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A class in which students hand in right, wrong, unclear, foreign and damaged notebooks; the same each time."""
    monkeypatch.setattr("secrets.token_hex", lambda count: "5a" * count)
    place.mkdir()
    lines = "".join(f"s{n:02},Student {n},\n" for n in range(CLASS))
    (place / "roster.csv").write_text(f"id,name,hub_user\n{lines}", encoding="utf-8")
    (place / "week-3.toml").write_text(BLUEPRINT, encoding="utf-8")
    start_class(place / "class", place / "roster.csv")
    hand_out(place / "class", place / "week-3.toml", now=NOW)
    where = class_folder(place / "class")
    for n in range(CLASS):
        text = where.rendered(SET, f"s{(n + (n % 8 == 7)) % CLASS:02}").read_text(encoding="utf-8")
        notebook = json.loads(text)
        typed = [
            answer if (k + n) % 5 else "about 1 mL" for k, answer in enumerate(answers(where.path, f"s{n:02}"), start=1)
        ]
        for cell in notebook["cells"]:
            for k, answer in enumerate(typed, start=1):
                if "".join(cell["source"]).startswith(f'answer_{k} = ""'):
                    cell["source"] = f"answer_{k} = {json.dumps(answer)}"
        path = where.submitted(SET, f"s{n:02}")
        path.parent.mkdir(parents=True)
        path.write_text("{" if n % 8 == 6 else json.dumps(notebook), encoding="utf-8")
    return where.path


def test_marks_of_a_cluster_are_the_marks_made_here(
    scheduler: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Row for row with two workers, foreign and damaged notebooks among them."""
    here, there = (a_class(tmp_path / name, monkeypatch) for name in ("here", "there"))
    serial = mark(here, SET, now=NOW)
    with maybe_cluster(scheduler) as across:
        spread = mark(there, SET, now=NOW, across=across)
    assert spread == serial
    assert len(serial.aside) == 6
    assert gradebook_rows(class_folder(there)) == gradebook_rows(class_folder(here))


def test_proofs_of_a_cluster_are_the_proofs_made_here(scheduler: str) -> None:
    """Row for row, in the order of the models; only the time that it took is another."""
    texts = [(model.id, model.text) for model in list(bank().values())[:3]]

    def nothing(_done: int, _of: int, _name: str) -> None:
        return

    here = proof_rows(texts, 40, 1, nothing)
    with maybe_cluster(scheduler) as across:
        there = proof_rows(texts, 40, None, nothing, across)
    assert [replace(row, nanoseconds=0) for row in there] == [replace(row, nanoseconds=0) for row in here]


def test_without_an_address_work_is_done_here() -> None:
    """Dask isn't even imported."""
    with maybe_cluster(None) as across:
        assert across is None


def test_a_cluster_that_isnt_there_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """No scheduler, no workers, no Dask: each says what to do."""
    from distributed import LocalCluster

    monkeypatch.setattr("calclib.cli.cluster._ANSWERS_WITHIN", 1)
    with pytest.raises(BadInput, match="No scheduler answers"), maybe_cluster("tcp://127.0.0.1:9"):
        pass
    with (
        LocalCluster(n_workers=0, dashboard_address="127.0.0.1:0", host="127.0.0.1") as cluster,
        pytest.raises(BadInput, match="has no workers"),
        maybe_cluster(cluster.scheduler_address),
    ):
        pass
    whole = builtins.__import__

    def without(name: str, *rest: Any) -> Any:
        if name.startswith("distributed"):
            raise ImportError
        return whole(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(BadInput, match="needs Dask"), maybe_cluster("tcp://127.0.0.1:9"):
        pass
