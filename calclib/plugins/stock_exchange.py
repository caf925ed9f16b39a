"""nbgrader's own commands of the exchange on our sets: fetch one's own notebook, collect with a look at the owner.

The configuration of a class folder names the last two (`config_file.py`), that of the hub the first.
"""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path
from typing import Any

from nbgrader.exchange.default import ExchangeCollect, ExchangeFetchAssignment, ExchangeReleaseFeedback
from nbgrader.utils import get_username

from calclib.class_files.class_folder import class_folder
from calclib.collecting.collect import collect
from calclib.collecting.receipts import copy_receipts
from calclib.errors import CalclibError
from calclib.releasing.exchange_outbound import PRIVATE
from calclib.wording import said


class PrivateFetch(ExchangeFetchAssignment):  # type: ignore[misc]
    """`nbgrader fetch_assignment`: the student's own notebook, where there is one."""

    def init_src(self) -> None:
        """Look for the notebook in the student's private folder."""
        super().init_src()
        own = Path(self.course_path, PRIVATE, get_username(), self.coursedir.assignment_id)
        if own.is_dir():
            self.src_path = str(own)

    def do_copy(self, src: str, dest: str) -> None:
        """Copy what is missing, without the rights that the private folder has.

        Copied along, they would end in the hand-in, where they shut out the instructor.
        """
        Path(dest).mkdir(parents=True, exist_ok=True)
        for path in sorted(Path(src).glob("*.ipynb")):
            target = Path(dest, path.name)
            if not target.exists():
                shutil.copyfile(path, target)


class CheckedCollect(ExchangeCollect):  # type: ignore[misc]
    """`nbgrader collect`: as `calclib collect` does it; a hand-in in another's name displaces nothing."""

    def init_src(self) -> None:
        """Nothing is chosen by the name alone."""

    def copy_files(self) -> None:
        """Collect into the class folder."""
        try:
            found = collect(
                Path(self.coursedir.root), self.coursedir.assignment_id, Path(self.root), now=dt.datetime.now(dt.UTC)
            )
        except CalclibError as error:
            self.fail(str(error))
            return
        for note in found.notes:
            self.log.warning(note)
        self.log.info(said("collecting.collected", count=len(found.new), before=len(found.unchanged)))


class ReleasePages(ExchangeReleaseFeedback):  # type: ignore[misc]
    """`nbgrader release_feedback`: our pages too, which lie beside no receipt of their hand-in yet."""

    def init_src(self) -> None:
        """Put the receipt of the hand-in beside each page."""
        super().init_src()
        where: Any = class_folder(Path(self.coursedir.root))
        for page in (where.path / self.coursedir.feedback_directory).glob(f"*/{self.coursedir.assignment_id}/*.html"):
            student = page.parent.parent.name
            copy_receipts(where.submitted(self.coursedir.assignment_id, student).parent, page.parent)
