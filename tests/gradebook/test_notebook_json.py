import json

from hypothesis import given
from hypothesis import strategies as st

from calclib.gradebook.notebook_json import notebook_json

LEAVES = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text()
VALUES = st.recursive(
    LEAVES, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4), max_leaves=20
)


@given(VALUES)
def test_a_notebook_is_laid_out_as_jupyter_does(value: object) -> None:
    """Byte for byte what the standard library writes with an indent of one."""
    assert notebook_json(value) == json.dumps(value, ensure_ascii=False, indent=1, sort_keys=True)
