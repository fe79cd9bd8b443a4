"""Files of a record: for their owner only, whatever stood at their place before."""

import os
import stat
from pathlib import Path

import pytest

from bot.model.files import write_private, write_private_in

posix = pytest.mark.skipif(os.name != "posix", reason="modes and links are those of POSIX")


def _mode(file: Path) -> int:
    return stat.S_IMODE(file.stat().st_mode)


@posix
@pytest.mark.parametrize("before", [None, 0o666, 0o644, 0o400])
@pytest.mark.parametrize("in_folder", [False, True])
def test_only_the_owner_can_read_it(tmp_path: Path, before: int | None, in_folder: bool) -> None:
    place = tmp_path / "report.html"
    if before is not None:
        place.write_bytes(b"something longer that was here before")
        place.chmod(before)
    if before == 0o400 and os.geteuid() != 0:
        with pytest.raises(PermissionError):
            write_private(place, b"lunch")
        return
    if in_folder:
        write_private_in(tmp_path, place.name, [b"lu", b"nch"])
    else:
        write_private(place, b"lu", b"nch")
    assert (place.read_bytes(), _mode(place)) == (b"lunch", 0o600)


@posix
@pytest.mark.parametrize("there", [False, True])
def test_in_a_folder_no_link_is_followed(tmp_path: Path, there: bool) -> None:
    elsewhere, folder = tmp_path / "elsewhere", tmp_path / "export"
    folder.mkdir()
    if there:
        elsewhere.write_text("theirs")
    (folder / "notes.csv").symlink_to(elsewhere)
    write_private_in(folder, "notes.csv", [b"lunch"])
    assert (folder / "notes.csv").read_bytes() == b"lunch"
    assert not (folder / "notes.csv").is_symlink()
    assert elsewhere.exists() == there
    assert not there or elsewhere.read_text() == "theirs"


@posix
def test_a_pipe_can_be_written_to() -> None:
    read, write = os.pipe()
    write_private(Path(f"/dev/fd/{write}"), b"lunch")
    os.close(write)
    with os.fdopen(read, "rb") as end:
        assert end.read() == b"lunch"
