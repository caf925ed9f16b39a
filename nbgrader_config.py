"""Where nbgrader finds the sets."""

c = get_config()  # noqa: F821 (nbgrader provides it)

c.CourseDirectory.source_directory = "solutions"
c.CourseDirectory.release_directory = "exercises"
# What an answer cell holds in place of the answer, below its own line `answer_1 = ""`.
c.ClearSolutions.code_stub = {"python": "# Type your answer between the quotes."}
