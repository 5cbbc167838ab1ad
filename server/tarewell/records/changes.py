"""Changes of set-up, stock and orders, each one transaction, and by name for other processes."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from tarewell.menu.ledger import Moved, correction
from tarewell.menu.values import Bottle, Glass, Liquid, Movement, Recipe

from .catalogue import ANY, Unchecked, require_expected
from .channels import assign
from .learned import note_corners
from .order_changes import (
    change_order,
    close_service,
    end_guest_link,
    let_guests_order,
    make_guest_link,
    open_service,
    place_order,
)
from .set_up import GLASSES, LIQUIDS, RECIPES, apply_changes
from .shelf import (
    mount,
    put_bottle,
    require_bottle,
    require_possible,
    seen_with_content,
    unmount,
    write_off,
)
from .stock import move
from .swaps import swap_bottle, undo_swap
from .transaction import Transaction

Item = Liquid | Glass | Recipe


def put_item(
    transaction: Transaction, item: Item, expected: Liquid | Glass | Recipe | Unchecked | None = ANY
) -> None:
    """Add a liquid, a glass or a recipe, or change it; see `Catalogue.put`."""
    match item:
        case Liquid():
            LIQUIDS.put(transaction, item, expected)
        case Glass():
            GLASSES.put(transaction, item, expected)
        case Recipe():
            RECIPES.put(transaction, item, expected)


def retire_item(
    transaction: Transaction,
    kind: str,
    item_id: str,
    expected: Liquid | Glass | Recipe | Unchecked | None = ANY,
) -> None:
    """Retire a liquid, a glass or a recipe; see `Catalogue.retire`."""
    catalogues = {catalogue.kind: catalogue for catalogue in (LIQUIDS, GLASSES, RECIPES)}
    catalogues[kind].retire(transaction, item_id, expected)


def keep_bottle(
    transaction: Transaction, bottle: Bottle, expected: Bottle | Unchecked | None = ANY
) -> Bottle:
    """Add or change a bottle; returns it as it is now."""
    put_bottle(transaction, bottle, expected)
    return require_bottle(transaction.session, bottle.id)


def mount_bottle(transaction: Transaction, bottle_id: str, channel: int) -> Bottle:
    """Mount a bottle on a channel."""
    mount(transaction, require_bottle(transaction.session, bottle_id), channel)
    return require_bottle(transaction.session, bottle_id)


def unmount_bottle(transaction: Transaction, bottle_id: str) -> Bottle:
    """Put a bottle on the shelf."""
    unmount(transaction, require_bottle(transaction.session, bottle_id))
    return require_bottle(transaction.session, bottle_id)


def weigh_bottle(transaction: Transaction, bottle_id: str, gross_g: float) -> Bottle:
    """Set the content by weighing the bottle with its content, in g."""
    bottle = require_bottle(transaction.session, bottle_id)
    move(transaction, bottle_id, correction(bottle, gross_g))
    return require_bottle(transaction.session, bottle_id)


def correct_bottle(transaction: Transaction, bottle_id: str, content_g: float) -> Bottle:
    """Set the content to an estimate in g."""
    bottle = require_bottle(transaction.session, bottle_id)
    require_possible(replace(bottle, content_g=content_g))
    move(transaction, bottle_id, Moved(Movement.CORRECTION, content_g - bottle.content_g))
    return require_bottle(transaction.session, bottle_id)


def discard_bottle(
    transaction: Transaction, bottle_id: str, expected: Bottle | Unchecked | None = ANY
) -> Bottle:
    """Take a bottle off its channel and write off its content."""
    bottle = require_bottle(transaction.session, bottle_id)
    require_expected(f"the bottle {bottle_id}", bottle, seen_with_content(expected, bottle))
    unmount(transaction, bottle)
    write_off(transaction, bottle)
    return require_bottle(transaction.session, bottle_id)


BY_NAME: dict[str, Callable[..., Any]] = {
    work.__name__: work
    for work in (
        put_item,
        retire_item,
        assign,
        keep_bottle,
        mount_bottle,
        unmount_bottle,
        swap_bottle,
        undo_swap,
        weigh_bottle,
        correct_bottle,
        discard_bottle,
        apply_changes,
        open_service,
        let_guests_order,
        make_guest_link,
        end_guest_link,
        close_service,
        place_order,
        change_order,
        note_corners,
    )
}
"""The changes that another process may request from the writer."""
