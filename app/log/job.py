"""The log without a screen: exported, or added to."""

from __future__ import annotations

from contextlib import closing
from datetime import datetime
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import check_place, write_safely
from app.log import backups, csv_rows, json_file
from app.log.entry import CLOCKS_DIFFER
from app.log.files import read_entries
from app.log.find import Wanted
from app.log.store import Store


def run_log(csv: Path | None, json: Path | None, add: Path | None) -> str:
    """Take in ``add``, then write what is asked for; what was done, in words.

    Raises BadInput for a file that cannot be used, and for a log that cannot be read or written.
    """
    outputs = [path for path in (csv, json) if path is not None]
    for path in outputs:
        check_place(path)
    if len({path.absolute() for path in (*outputs, *([add] if add else []))}) < len(outputs) + (
        add is not None
    ):
        raise BadInput("command line", "", None, "another name for every file", "has one twice")
    now, told = datetime.now().astimezone(), []
    with closing(Store()) as store:
        if store.told:
            raise BadInput(str(store.path), "", None, "a log that can be written", store.told)
        if add is not None:
            backups.back_up_daily(store.path, now.date())
            if add.suffix.lower() == ".sqlite":
                merged = store.merge_file(add)
            else:
                merged = store.merge(read_entries(add, now + CLOCKS_DIFFER))
            told.append(f"{add}: {merged.in_words()}")
        entries = list(store.entries()) if outputs else []
        for place, file in ((csv, csv_rows), (json, json_file)):
            if place is not None:
                write_safely(place, file.dumps(entries))
                told.append(f"{place}: {len(entries)} entries")
        if not told:
            found = store.find(Wanted())
            told.append(
                f"{store.path}: {len(found.numbers)} entries, days: {len(store.days())}, "
                f"{found.hits} hits, {found.landed} landed"
            )
    return "".join(f"{line}\n" for line in told)
