"""The simulated students share no code with what they measure."""

from __future__ import annotations

from tests.layers.source_files import PACKAGE, REPOSITORY, SourceFile, imported_modules, modules_of, source_files

ALLOWED = ("calclib.demo.students", "calclib.demo.simulated_students", "tests.oracle")


def student_files() -> list[SourceFile]:
    """The modules that play students: those of the demo, and those that know the whole bank."""
    students = PACKAGE / "demo" / "students"
    demo = [f for f in source_files() if students in f.path.parents or f.path.name == "simulated_students.py"]
    return [*demo, *modules_of(REPOSITORY / "tests" / "oracle")]


def test_students_import_nothing_of_calclib_but_each_other() -> None:
    """The program that makes up wrong answers shares no code with the one that names them: they test each other."""
    assert len(student_files()) > 30
    wrong = [
        file.at(node)
        for file in student_files()
        for node, module in imported_modules(file)
        if module.startswith(("calclib", "tests")) and not module.startswith(ALLOWED)
    ]
    assert wrong == []
