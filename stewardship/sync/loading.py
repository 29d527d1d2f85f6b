"""Read and lock everything that mutations look at, before any of them is decided."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any
from uuid import UUID

from stewardship.journal.book import Entry, Survey
from stewardship.journal.models import Revision
from stewardship.journal.ordering import write_order
from stewardship.journal.references import references
from stewardship.sync.verbs.verb import Ahead

if TYPE_CHECKING:
    from stewardship.sync.atoms import Atom


def load(entry: Entry, atoms: Iterable[Atom], *, careful: bool = False) -> None:
    """Read and lock everything these mutations look at: one statement for each type, always in one order."""
    readable = [atom for atom in atoms if atom.verb]
    locked, read_only = _named(readable)
    _name_carried(entry, readable, locked)
    _name_ahead(entry, readable, locked, read_only)
    if careful:
        _mark_foreign(entry, readable)
    for model in sorted(locked.keys() | read_only.keys(), key=write_order):
        entry.load(model, locked.get(model, ()))
        entry.load(model, read_only.get(model, ()), lock=False)
    _load_through(entry, readable)
    _load_behind(entry, readable)
    _load_lists(entry, readable)
    for model in sorted({model for atom in readable if atom.verb for model in atom.verb.whole}, key=write_order):
        entry.load_all(model)
    _survey(entry, readable)


def _named(atoms: list[Atom]) -> tuple[dict[Any, set[UUID]], dict[Any, set[UUID]]]:
    locked: dict[Any, set[UUID]] = {}
    read_only: dict[Any, set[UUID]] = {}
    for atom in atoms:
        assert atom.verb
        if getattr(atom.wish, "id", None):
            locked.setdefault(atom.verb.record, set()).add(atom.wish.id)
        for held in (each for several in atom.taken_up for each in several):
            locked.setdefault(atom.verb.record, set()).add(held.item_id)
        for reference in references(atom.verb.fields):
            wanted = locked if reference.lock else read_only
            wanted.setdefault(reference.model, set()).update(reference.read(atom.wish))
    return locked, read_only


def _name_carried(entry: Entry, atoms: list[Atom], locked: dict[Any, set[UUID]]) -> None:
    """Add the records that a target's correction is carried to: like all others they are locked type by type."""
    wanted: dict[tuple[Any, str], set[UUID]] = {}
    for atom in atoms:
        assert atom.verb
        for key in atom.verb.carried:
            wanted.setdefault(key, set()).add(atom.wish.id)
    for (model, column), ids in wanted.items():
        found = model._default_manager.filter(group_id=entry.group_id, **{f"{column}__in": ids})
        locked.setdefault(model, set()).update(found.values_list("id", flat=True))


def _name_ahead(entry: Entry, atoms: list[Atom], locked: dict[Any, set[UUID]], read_only: dict[Any, set[UUID]]) -> None:
    """Add the records that named ones point to; those that new ones point to are named in their own fields."""
    wanted: dict[tuple[Any, str], dict[Ahead, set[UUID]]] = {}
    for atom in atoms:
        assert atom.verb
        for path, ahead in atom.verb.looked_up():
            by_ahead = wanted.setdefault((ahead.source, ahead.key), {})
            by_ahead.setdefault(ahead, set()).update(_ids_at(path, atom))
    for (source, key), by_ahead in wanted.items():
        ids = set().union(*by_ahead.values())
        if not ids:
            continue
        columns = {key, *(ahead.points for ahead in by_ahead)}
        for row in source._default_manager.filter(group_id=entry.group_id, **{f"{key}__in": ids}).values(*columns):
            for ahead, named in by_ahead.items():
                if row[key] in named and row[ahead.points]:
                    (locked if ahead.lock else read_only).setdefault(ahead.model, set()).add(row[ahead.points])


def _ids_at(path: str, atom: Atom) -> Iterable[UUID]:
    """Give the ids that stand at a path of what was sent; ``id`` is the target's."""
    assert atom.verb
    if path == "id":
        return [atom.wish.id]
    return next(each.read(atom.wish) for each in references(atom.verb.fields) if each.path == path)


def _load_through(entry: Entry, atoms: list[Atom]) -> None:
    wanted: dict[Any, set[UUID]] = {}
    for atom in atoms:
        assert atom.verb
        named = {reference.path: reference for reference in references(atom.verb.fields)}
        for name, (column, model) in atom.verb.through.items():
            records = [entry.find(named[name].model, id) for id in named[name].read(atom.wish)]
            wanted.setdefault(model, set()).update(getattr(record, column) for record in records if record)
    for model in sorted(wanted, key=write_order):
        entry.load(model, wanted[model], lock=False)


def _load_behind(entry: Entry, atoms: list[Atom]) -> None:
    wanted: dict[Any, set[UUID]] = {}
    for atom in atoms:
        assert atom.verb
        target = entry.find(atom.verb.record, atom.wish.id) if atom.verb.behind else None
        for column, model in atom.verb.behind.items() if target else ():
            if (id := getattr(target, column)) is not None:
                wanted.setdefault(model, set()).add(id)
    for model in sorted(wanted, key=write_order):
        entry.load(model, wanted[model])


def _load_lists(entry: Entry, atoms: list[Atom]) -> None:
    gathered: dict[tuple[Any, str], set[UUID]] = {}
    listed: dict[tuple[Any, str], set[UUID]] = {}
    for atom in atoms:
        assert atom.verb
        for wanted, pairs in ((gathered, atom.verb.gathered()), (listed, atom.verb.listed())):
            for path, key in pairs:
                ids = _targets_own(entry, path, atom) if path.startswith(".") else _ids_at(path, atom)
                wanted.setdefault(key, set()).update(ids)
    for wanted, lock in ((gathered, True), (listed, False)):
        for model, column in sorted(wanted, key=lambda key: (write_order(key[0]), key[1])):
            entry.load_lists(model, column, wanted[model, column], lock=lock)


def _targets_own(entry: Entry, path: str, atom: Atom) -> Iterable[UUID]:
    """Give the id in a column of the target: ``.applicator_id``."""
    assert atom.verb
    target = entry.find(atom.verb.record, atom.wish.id)
    id = getattr(target, path[1:]) if target else None
    return [id] if id else []


def _survey(entry: Entry, atoms: list[Atom]) -> None:
    """Ask each survey once, about everything that the mutations with it wish for."""
    wanted: dict[Survey, list[Any]] = {}
    for atom in atoms:
        assert atom.verb
        for survey in atom.verb.surveys:
            wanted.setdefault(survey, []).append(atom.wish)
    for survey, wishes in wanted.items():
        entry.surveyed[survey] = survey(entry, wishes)


def _mark_foreign(entry: Entry, atoms: list[Atom]) -> None:
    """Find new ids that another group or another type has: looked for only after the database refused one."""
    wanted: dict[Any, set[UUID]] = {}
    for atom in atoms:
        if atom.creates and atom.verb:
            wanted.setdefault(atom.verb.record, set()).add(atom.wish.id)
    for model, ids in wanted.items():
        foreign = model._base_manager.filter(id__in=ids).exclude(group_id=entry.group_id)
        entry.taken |= set(foreign.values_list("id", flat=True))
        of_a_kind = Revision.objects.filter(group_id=entry.group_id, record_id__in=ids).exclude(kind=model.kind)
        entry.taken |= set(of_a_kind.values_list("record_id", flat=True))
