"""The `cards` task: a table to sheets of cards, with progress; the shop's stacks; cancelling one."""

from __future__ import annotations

import os
import secrets
import sys
from functools import partial
from pathlib import Path

from webapp.accounts.actions.open_shop import find_shop
from webapp.accounts.actions.tokens import first_owner
from webapp.cards.rendering.sizes import UnknownSizeError, find_size
from webapp.commands.opened_app import opened_app
from webapp.ground.action_errors import NotFoundError, RefusedError
from webapp.ground.fields.uploaded_text import FILE_LIMIT, FileTextError, file_text
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name
from webapp.stacks.actions.change_stack import cancel_stack
from webapp.stacks.actions.find_stacks import find_sheets, find_stack, list_stacks
from webapp.stacks.actions.order_stack import order_stack
from webapp.stacks.forms.table import TableError, read_table
from webapp.stacks.make_cards import make_stack
from webapp.stacks.pages import present_stack
from webapp.stacks.stack import Stack


def cards(shop_name: str, file: Path | None, size: str, output: Path, cancel: int | None) -> int:
    """Print a shop's table, list its stacks, or cancel one; return the exit code."""
    with opened_app():
        shop_id = find_shop(shop_name)
        if shop_id is None:
            return _refuse(_("no shop is called %(shop_name)s.", shop_name=repr(shop_name)))
        try:
            if cancel is not None:
                return _cancel(shop_id, cancel)
            return _list(shop_id) if file is None else _print(shop_id, file, size, output)
        except (NotFoundError, RefusedError, UnknownSizeError, FileTextError) as error:
            return _refuse(str(error))
        except TableError as error:
            return _refuse("\n".join(one.sentence for one in error.problems))
        except OSError as error:
            return _refuse(_("%(path)s cannot be opened (%(why)s).", path=error.filename, why=error.strerror))


def _list(shop_id: int) -> int:
    for stack in list_stacks(shop_id):
        _say(_line(stack))
    return 0


def _cancel(shop_id: int, number: int) -> int:
    cancel_stack(shop_id, number)
    return _list(shop_id)


def _print(shop_id: int, file: Path, size: str, output: Path) -> int:
    find_size(size)
    if output.exists():
        return _refuse(_("%(path)s exists already. Choose another name, or move the file away.", path=output))
    with file.open("rb") as opened:
        text = file_text(opened.read(FILE_LIMIT + 1))
    wanted = read_table(text, partial(find_suspension_unit_by_name, shop_id))
    number = order_stack(first_owner(shop_id), wanted, size, secrets.token_hex(16))
    try:
        make_stack(number, secrets.token_hex(8), partial(_show_progress, shop_id, number))
    except KeyboardInterrupt:
        _say(_("Stopped. The stack goes on where a worker runs, or cancel it with --cancel %(number)d.", number=number))
        return 1
    return _write(find_stack(shop_id, number), output)


def _show_progress(shop_id: int, number: int) -> bool:
    _say(_line(find_stack(shop_id, number)))
    return False


def _write(stack: Stack, output: Path) -> int:
    """Write each file of sheets; the second and those after it have the number of their first card in their name."""
    for part in stack.parts:
        if part.cards:
            path = output if part.first == 1 else output.with_stem(f"{output.stem}-{part.first}")
            number = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(number, "wb") as opened:
                opened.write(find_sheets(stack.shop_id, stack.stack_id, part.first))
            _say(_("Saved to %(path)s: %(n)d cards.", path=path, n=part.cards))
    for line in present_stack(stack).failed:
        _say(line)
    return 0 if stack.state == "done" and not stack.failed else 1


def _line(stack: Stack) -> str:
    page = present_stack(stack)
    number = _("Stack %(number)d", number=page.number)
    return f"{number}: {page.progress}. {page.state}."


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def _refuse(text: str) -> int:
    sys.stderr.write(f"setup-card: {text}\n")
    return 1
