"""What a computer can fail at, as sentences: no right to write, no room, no file. Knows no Django."""

import errno
from pathlib import Path

from inventory.errors import Refused, Sentence, say

LEAST_FREE = 50 * 1024 * 1024  # room for a season's records and the database's own work
_ANOTHER = say("Give this user the right to write there, or name another folder with SHOP_DATA.")
_ROOM = say("Make room on that disk, then start again. Nothing was half written.")
_FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
_DENIED = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})


def of_the_folder(error: OSError, folder: Path) -> Refused | None:
    """The refusal when the data folder itself could not be used; None for any other trouble."""
    where = Path(str(error.filename or folder))
    if where != folder and folder not in where.parents and where not in folder.parents:
        return None
    if error.errno in _FULL:
        return no_room(folder)
    if error.errno in _DENIED:
        return no_right(folder)
    return Refused(
        "data.unusable",
        say("The data folder {folder} cannot be used: {why}.", folder=folder, why=error.strerror or error),
        say("Name another folder with SHOP_DATA."),
    )


def of_a_file(error: OSError) -> Refused:
    """The refusal when a file that was named could not be read or written."""
    name = error.filename or ""
    if error.errno in _FULL:
        return Refused("file.no_room", say("There is no room left on the disk for {name}.", name=name), _ROOM)
    if error.errno == errno.ENOENT:
        return Refused(
            "file.missing",
            say("There is no file or folder {name}.", name=name),
            say("Check the name and the folder."),
        )
    return Refused(
        "file.unusable",
        say("{name} cannot be used: {why}.", name=name, why=error.strerror or error),
        say("Choose another file or folder, or give this user the right to it."),
    )


def of_the_database(text: str, folder: Path) -> Refused | None:
    """The refusal that a database's own words mean; None for what is no trouble of the computer."""
    words: dict[str, Refused] = {
        "disk is full": no_room(folder),
        "readonly database": no_right(folder),
        "unable to open database": no_right(folder),
        "not a database": _damaged(folder),
        "malformed": _damaged(folder),
        "database is locked": Refused(
            "data.busy",
            say("Something else has been writing to the books for 20 seconds."),
            say("Wait until it is done, then try again. Nothing was written."),
        ),
    }
    return next((refused for part, refused in words.items() if part in text), None)


def no_right(folder: Path) -> Refused:
    """This user may not write in the data folder."""
    sentence = say("This user may not write in the data folder {folder}.", folder=folder)
    return Refused("data.no_right", sentence, _ANOTHER)


def no_room(folder: Path, free: int = 0) -> Refused:
    """The disk with the data folder is full, or nearly."""
    sentence: Sentence = say(
        "The disk with the data folder {folder} has {free} MB left.", folder=folder, free=free // 1_048_576
    )
    return Refused("data.no_room", sentence, _ROOM)


def _damaged(folder: Path) -> Refused:
    return Refused(
        "data.damaged",
        say("The books in {folder} cannot be read: the file is damaged or no database.", folder=folder),
        say("Set that folder aside untouched, and bring back the newest copy that was kept."),
    )
