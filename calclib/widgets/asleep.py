"""What stands above a widget while nothing runs it: after a restart, in a closed notebook, in another program."""

from __future__ import annotations

from abc import ABC, abstractmethod
from html import escape
from typing import Any

from calclib.wording import fact, said, sentence

RUNNING = ".calclib-lesson, .calclib-practice, .calclib-controls, .calclib-device"
VIEW = '.jp-OutputArea-output:is([data-mime-type="application/vnd.jupyter.widget-view+json"], .jupyter-widgets)'
# The sentence steps aside while the widget runs and comes back when its kernel is gone. A widget that a notebook no
# longer finds says so in words that help nobody, so it is left out; JupyterLab doesn't always write its type there.
STYLE = f"""<style>
.jp-OutputArea:has({RUNNING}):not(:has(.jupyter-widgets-disconnected)) .calclib-asleep {{ display: none; }}
.jp-OutputArea:has(.calclib-asleep) {VIEW}:not(:has({RUNNING})) {{ display: none; }}
.jp-OutputArea:has(.calclib-asleep) .jupyter-widgets-disconnected::before {{ display: none; }}
.jp-OutputArea:has(.calclib-asleep) .jupyter-widgets-disconnected {{ opacity: 0.6; }}
.calclib-asleep {{ margin: 0.4em 0; }}
</style>"""


# The same rule stands in palette.css, which stays when a long notebook takes this cell off the screen.
HIDDEN_LINES = """<style>
.jp-CodeCell:has(.calclib-page) { display: none; }
.jp-Notebook:has(.calclib-page) .jp-CodeCell > .jp-Cell-inputWrapper:has(.jp-Placeholder) { display: none; }
</style>"""


class Waking:
    """A widget that is shown below a sentence for whoever finds it asleep."""

    stands = fact("asleep.part_of_lesson")
    """What stands here, in a few words, for programs that show no widgets."""

    def outputs(self) -> tuple[tuple[dict[str, Any], dict[str, Any]], ...]:
        """Return what a cell shows, each with its metadata: the sentence, then the widget."""
        bundle = self._repr_mimebundle_()  # type: ignore[attr-defined]
        if bundle is None:
            return ()
        data, metadata = bundle if isinstance(bundle, tuple) else (bundle, {})
        wake = said("asleep.wake")
        above = {"text/plain": wake, "text/html": f'{STYLE}<p class="calclib-asleep">{escape(wake)}</p>'}
        return (above, {}), ({**data, "text/plain": sentence(self.stands)}, metadata)

    def _ipython_display_(self, **_: Any) -> None:
        from IPython.display import display

        for data, metadata in self.outputs():
            display(data, metadata=metadata, raw=True)  # type: ignore[no-untyped-call]


class RunningPage:
    """What the first cell of a page shows: nothing, but from then on the hidden lines of the page are out of sight."""

    def __repr__(self) -> str:
        return ""

    def _repr_html_(self) -> str:
        return f'{HIDDEN_LINES}<div class="calclib-page"></div>'


def running_page() -> RunningPage:
    """Begin a page: its lines of code go out of sight, also where a part of it shows no widget."""
    return RunningPage()


class Text(ABC):
    """Words on a page, without the number of a run beside them."""

    def _ipython_display_(self, **_: Any) -> None:
        from IPython.display import display

        bundle = {"text/plain": repr(self), "text/html": self._repr_html_()}
        display(bundle, raw=True)  # type: ignore[no-untyped-call]

    @abstractmethod
    def _repr_html_(self) -> str: ...


class Sentence(Text):
    """A sentence in the place of a widget.

    Args:
        words: Plain text.
    """

    def __init__(self, words: str) -> None:
        self.words = words

    def __repr__(self) -> str:
        return self.words

    def _repr_html_(self) -> str:
        return f"<p>{escape(self.words)}</p>"
