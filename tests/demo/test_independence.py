"""The simulated students share no code with what they measure."""

from __future__ import annotations

from tests.layers.source_files import PACKAGE, SourceFile, imported_modules, source_files

ALLOWED = ("calclib.demo.students", "calclib.demo.simulated_students")


def student_files() -> list[SourceFile]:
    """The modules that play students."""
    students = PACKAGE / "demo" / "students"
    return [f for f in source_files() if students in f.path.parents or f.path.name == "simulated_students.py"]


def test_students_import_nothing_of_calclib_but_each_other() -> None:
    """No module that plays students imports anything of calclib outside of that play."""
    assert len(student_files()) > 10
    wrong = [
        file.at(node)
        for file in student_files()
        for node, module in imported_modules(file)
        if module.startswith("calclib") and not module.startswith(ALLOWED)
    ]
    assert wrong == []
