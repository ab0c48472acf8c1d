"""One more server process that stores batches: ``python -m tests.store.writing_process FILE``.

The file names the database and holds who pushes and the batches; each result goes to a line of
standard output.
"""

import json
import sys
from pathlib import Path

from webapp.flow import receive
from webapp.flow.actor import Actor, RoleAt
from webapp.store import database


def main(file: str) -> None:
    """Store every batch of the file, one transaction each."""
    work = json.loads(Path(file).read_text("utf-8"))
    user_id, name, roles = work["actor"]
    actor = Actor(user_id, name, name, tuple(RoleAt(*one) for one in roles), "127.0.0.1")
    database.bind(work["url"])
    with database.connection():
        for batch in work["batches"]:
            for receipt in receive.push(actor, batch):
                print(receipt.result, flush=True)


if __name__ == "__main__":
    main(sys.argv[1])
