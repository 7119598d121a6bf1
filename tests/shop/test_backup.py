"""A backup holds everything that cannot be made again, and opens as a shop."""

from pathlib import Path

from tests.support.shops import Shop


def test_a_backup_made_beside_a_running_shop_opens_as_that_shop(shop_apart: Shop, tmp_path: Path) -> None:
    shop_apart.run("-m", "tests.support.kills", "receive", "2")
    paper = shop_apart.data / "received" / "ab" / "ab12.pdf"
    paper.parent.mkdir(parents=True)
    paper.write_bytes(b"%PDF-1.4 a bill of sale %%EOF")
    (paper.parent.parent / "arriving-x").write_bytes(b"half a file")
    recording = shop_apart.data / "recordings" / "cd" / "cd34.wav"
    played = shop_apart.data / "played" / "ef" / "ef56.wav"
    for file in (recording, played):
        file.parent.mkdir(parents=True)
        file.write_bytes(b"RIFF and a tune")
    target = tmp_path / "copy"
    said = shop_apart.run("manage.py", "backup", str(target))
    assert "Originals: 2 new files" in said
    assert "Received: 1 new files" in said
    assert [file.name for file in (target / "received").rglob("*") if file.is_file()] == ["ab12.pdf"]
    assert (target / "received" / "ab" / "ab12.pdf").read_bytes() == paper.read_bytes()
    assert "Recordings: 1 new files" in said
    assert (target / "recordings" / "cd" / "cd34.wav").read_bytes() == recording.read_bytes()
    assert not (target / "played").exists(), "made anew from what was received"
    kept = {file.name: file.read_bytes() for file in (shop_apart.data / "originals").rglob("*.jpg")}
    assert {file.name: file.read_bytes() for file in (target / "originals").rglob("*.jpg")} == kept
    if shop_apart.url:
        assert (target / "shop.pgdump").read_bytes()[:5] == b"PGDMP"
    else:
        assert '"ready": 0' in Shop(target).run("-m", "tests.support.kills", "told")
    assert "Originals: 0 new files" in shop_apart.run("manage.py", "backup", str(target))
