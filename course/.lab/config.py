"""JupyterLab as a student sees it: F8 runs a page, no menu is a teacher's, and an answer is text from the start."""

import os
from importlib.util import find_spec
from pathlib import Path

c = get_config()  # noqa: F821 - Jupyter gives it
c.LabApp.app_settings_dir = str(Path(__file__).parent)
calclib = find_spec("calclib")
if calclib is not None and calclib.origin:
    # Kernels run this file as they start: an answer without quotes is then no error, also before its set was started.
    os.environ.setdefault("PYTHONSTARTUP", str(Path(calclib.origin).parent / "reading" / "kernel_start.py"))
