"""What a blueprint orders, with files of faculty's own: the same for a preview, a sign-off and a set."""

from __future__ import annotations

from pathlib import Path

from calclib.class_files.blueprint import Blueprint
from calclib.class_files.catalogue import Catalogue
from calclib.class_files.reviews import refuse_unreviewed, reviewed_only
from calclib.releasing.own_marking import own_marking
from calclib.releasing.proved_model import own_models
from calclib.releasing.slots import Ordered


def ordered_set(order: Blueprint, catalogue: Catalogue, file: Path) -> Ordered:
    """Return what a blueprint orders of the item models and files as they are now.

    Args:
        order: The blueprint.
        catalogue: The item models of the bank.
        file: The blueprint's file, beside which files of faculty's own and the school's reviews stand.

    Raises:
        BadInput: a file that it names is wrong, or it asks for reviewed item models and one isn't.
    """
    own = own_models(order, file)
    refuse_unreviewed(order, own, file)
    return Ordered(order, reviewed_only(order, catalogue, file), own, own_marking(order, file), file.name)
