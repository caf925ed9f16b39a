"""nbgrader's own rows of students: who is in the class, and everything that hangs on one who is erased."""

from __future__ import annotations

from collections.abc import Callable

from sqlalchemy import Connection, delete, insert, select, update

from calclib.class_files.roster import Roster


def write_students(connection: Connection, roster: Roster) -> set[str]:
    """Write the roster's students into the gradebook and return the ids that were there before."""
    from nbgrader.api import Student

    table = Student.__table__
    known = set(connection.execute(select(table.c.id)).scalars())
    for student in roster.students:
        names = {"first_name": None, "last_name": student.name, "lms_user_id": student.lms_name or None}
        if student.id in known:
            connection.execute(update(table).where(table.c.id == student.id).values(**names))
        else:
            connection.execute(insert(table).values(id=student.id, email=None, **names))
    return known


def has_student(connection: Connection, student: str) -> bool:
    """Tell whether the gradebook lists a student."""
    from nbgrader.api import Student

    table = Student.__table__
    return connection.execute(select(table.c.id).where(table.c.id == student)).first() is not None


def delete_student(connection: Connection, student: str) -> bool:
    """Delete a student with all submissions, scores and comments, and return whether there was one.

    Args:
        connection: A connection in a transaction.
        student: The student's id.
    """
    from nbgrader.api import Comment, Grade, Student, SubmittedAssignment, SubmittedNotebook

    people, submissions, notebooks = (kind.__table__ for kind in (Student, SubmittedAssignment, SubmittedNotebook))
    mine = select(submissions.c.id).where(submissions.c.student_id == student)
    inner = select(notebooks.c.id).where(notebooks.c.assignment_id.in_(mine))
    for kind in (Grade, Comment):
        connection.execute(delete(kind.__table__).where(kind.__table__.c.notebook_id.in_(inner)))
    connection.execute(delete(notebooks).where(notebooks.c.assignment_id.in_(mine)))
    connection.execute(delete(submissions).where(submissions.c.student_id == student))
    return bool(connection.execute(delete(people).where(people.c.id == student)).rowcount)


def comments_on_others(connection: Connection, student: str) -> tuple[str, ...]:
    """Return what graders wrote on the notebooks of everyone but one student.

    Args:
        connection: A connection.
        student: The student's id.
    """
    from nbgrader.api import Comment, SubmittedAssignment, SubmittedNotebook

    comments, notebooks, submissions = (one.__table__ for one in (Comment, SubmittedNotebook, SubmittedAssignment))
    others = (
        select(comments.c.manual_comment)
        .join(notebooks, comments.c.notebook_id == notebooks.c.id)
        .join(submissions, notebooks.c.assignment_id == submissions.c.id)
    )
    found = connection.execute(others.where(submissions.c.student_id != student)).scalars()
    return tuple(text for text in found if text)


def rewrite_comments(connection: Connection, change: Callable[[str], str]) -> None:
    """Change what graders wrote on notebooks.

    Args:
        connection: A connection in a transaction.
        change: What becomes of a comment.
    """
    from nbgrader.api import Comment

    table = Comment.__table__
    for column in (table.c.manual_comment, table.c.auto_comment):
        for key, text in connection.execute(select(table.c.id, column).where(column.is_not(None))).all():
            if (changed := change(text)) != text:
                connection.execute(update(table).where(table.c.id == key).values({column.name: changed}))
