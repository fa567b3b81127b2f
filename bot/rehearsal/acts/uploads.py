"""Files that a person sends: with a message, or as the value of a command's option."""

from collections.abc import Sequence

from bot.rehearsal.acts.seen import Refused
from bot.rehearsal.drafts import FILE_LIMIT, Upload, stored
from bot.rehearsal.world import Channel, StoredFile, World

MOST_FILES = 10


def take_files(
    world: World, where: Channel, files: Sequence[tuple[str, bytes]]
) -> list[StoredFile]:
    """The files as the platform's client would upload them, or Refused; nothing is kept yet."""
    if len(files) > MOST_FILES:
        raise Refused(f"A message takes up to {MOST_FILES} files.")
    taken: list[StoredFile] = []
    for name, data in files:
        if not name:
            raise Refused("A file needs a name.")
        if len(data) > FILE_LIMIT:
            raise Refused(f"{name}: is larger than {FILE_LIMIT // 2**20} MiB.")
        upload = Upload(field="", name=name, data=data, content_type="application/octet-stream")
        taken.append(stored(world, where, upload, {}))
    return taken


def keep_files(world: World, files: Sequence[StoredFile]) -> None:
    """Serve these files from now on."""
    for file in files:
        world.files[file.id] = file
