"""The extension of a Jupyter server. It serves nothing until a class folder is named in the server's configuration."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from jupyter_server.extension.application import ExtensionApp
from traitlets import Unicode, default

from calclib.desk.addresses import PLACE


class CalclibDesk(ExtensionApp):
    """The pages of one class for its instructor."""

    name = "calclib_desk"
    extension_url = f"/{PLACE}"
    load_other_extensions = False

    class_folder = Unicode(help="The class folder whose pages are served; none if this is empty.").tag(config=True)
    owner = Unicode(help="The only account that may read them; on a hub, the one who runs the server.").tag(config=True)

    @classmethod
    def get_extension_package(cls) -> str:
        """Return the package in which a server looks for the extension."""
        return "calclib.desk"

    @default("owner")
    def _owner_of_the_server(self) -> str:
        return os.environ.get("JUPYTERHUB_USER", "")

    def initialize_handlers(self) -> None:
        """Add the pages, if a class folder is named."""
        if not self.class_folder:
            return
        from calclib.desk.handlers import pages_of

        # One worker: a page is made or a ruling recorded after another, and the server answers others meanwhile.
        worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="calclib-desk")
        self.handlers.extend(pages_of(Path(self.class_folder).expanduser(), self.owner, worker))
