"""A season's entries as a TinyDB: queries as usual, inserts append, nothing else writes.

TinyDB asks a storage to read and write a whole database; its hooks for another way are the
`Storage` base class, `table_class` and `document_id_class`. Here `read` hands out the entries of
every journal, and an insert goes straight to the journal of the desk that writes.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, NoReturn, cast

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Table

from fieldbook.book.entry import AnyEntry
from fieldbook.book.journal import Journal

TABLE = "entries"


class JournalStorage(Storage):
    """A season's journals, as TinyDB sees them."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal

    @property
    def entries(self) -> dict[str, AnyEntry]:
        """The entries that count, by id, in fold order."""
        return {entry.id: entry for entry in self.journal.lines.order}

    def read(self) -> dict[str, dict[str, Any]]:
        """TinyDB's view: one table of entries by id."""
        return {TABLE: cast("dict[str, Any]", self.entries)}

    def write(self, data: Mapping[str, Any]) -> NoReturn:
        """Never: a journal is not rewritten."""
        raise NotImplementedError("a journal is only ever appended to")

    def close(self) -> None:
        self.journal.close()


class EntryTable(Table):
    """TinyDB's table over the journals."""

    document_id_class = cast("type[int]", str)  # ids are words here: k7f2q-412
    document_class = cast("Any", staticmethod(lambda entry, _id: entry))  # documents already

    def __init__(self, storage: Storage, name: str, **_kwargs: Any) -> None:
        super().__init__(storage, name, cache_size=0)  # a cached answer would go stale

    @property
    def _entries(self) -> JournalStorage:
        return cast("JournalStorage", self._storage)

    def insert(self, document: Any) -> Any:
        """Append one entry that has its number; return its id when it is on disk."""
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Iterable[Any]) -> Any:
        """Append entries together; return their ids when all are on disk."""
        batch: list[AnyEntry] = list(documents)
        self._entries.journal.append(batch)
        return [entry.id for entry in batch]

    def upsert(self, document: Any, cond: Any = None) -> NoReturn:
        raise NotImplementedError("entries are never changed: strike them")

    def _read_table(self) -> dict[str, Mapping[str, Any]]:
        return cast("dict[str, Mapping[str, Any]]", self._entries.entries)

    def _update_table(self, updater: Callable[[dict[int, Mapping[str, Any]]], None]) -> NoReturn:
        raise NotImplementedError("entries are never changed or removed: strike them")


class JournalDB(TinyDB):
    """A TinyDB whose one table is a season's entries.

    Args:
        journal: The season's journals.
    """

    table_class = cast("Any", EntryTable)
    default_table_name = TABLE
    default_storage_class = cast("Any", JournalStorage)

    def drop_tables(self) -> NoReturn:
        raise NotImplementedError("a journal is never dropped")

    def drop_table(self, name: str) -> NoReturn:
        raise NotImplementedError("a journal is never dropped")
