"""JupyterLab as a student sees it: F8 runs a page from top to bottom, and nothing of a teacher's is in the menus."""

from pathlib import Path

c = get_config()  # noqa: F821 - Jupyter gives it
c.LabApp.app_settings_dir = str(Path(__file__).parent)
