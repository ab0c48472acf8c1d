"""The browser's modules and the server's, face to face: each opens what the other sealed."""

import json
import subprocess
from pathlib import Path

from tests.records.vectors import read
from webapp.asset_build.node import NODE
from webapp.records import envelope
from webapp.records.signing import DeskKey

SCRIPT = Path(__file__).with_name("sign_in_node.mjs")


def test_each_opens_what_the_other_sealed(tmp_path: Path) -> None:
    """Every kind sealed in the browser opens here in one chain, and a desk record opens there."""
    payloads = read("kinds")["payloads"]
    key = DeskKey.load_or_create(tmp_path / "desk_key.pem")
    order = {**payloads["order.placed"], "key": key.kid}
    question = {
        "payloads": list(payloads.values()),
        "envelope": envelope.seal(order, key),
        "spki": envelope.to_base64url(key.spki),
    }
    done = subprocess.run(
        [str(NODE), str(SCRIPT)],
        input=json.dumps(question),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["opened"] == order
    previous = None
    for signed, payload in zip(answer["envelopes"], payloads.values(), strict=True):
        record = envelope.open_envelope(signed)
        envelope.verify_record(record, envelope.from_base64url(answer["spki"], "spki"))
        assert record.payload["body"] == payload["body"]
        assert record.payload["prev"] == previous
        previous = record.id
