"""What the person who runs the bot reads on the terminal."""

from typing import Final

SENTENCES: Final = {
    "operator.no_token": "TANKWREN_TOKEN is not set. Put the bot's token there, or its file in TANKWREN_TOKEN_FILE.",
    "operator.bad_token": "The chat server refused TANKWREN_TOKEN. Make a new token and set it.",
    "operator.token_file": "TANKWREN_TOKEN_FILE {path} cannot be read.",
    "operator.data_dir": "TANKWREN_DATA_DIR {path} cannot be written.",
    "operator.database": "The database {url} cannot be opened.",
    "operator.old_schema": "The database is at schema {found}, this version needs {wanted}. Run: tankwren migrate",
    "operator.no_schema": "The database is empty. Run: tankwren migrate",
    "operator.port": "Port {port} is in use. Choose another with --port.",
    "operator.url": "{name} is {value}, which is no {scheme} address.",
    "operator.records": "{path} is no records file: {reason}.",
    "operator.ask_needs": "ask needs --records FILE and --json TEXT, or --batch.",
    "operator.migrated": "The database is at schema {revision}.",
    "operator.ready": "Tankwren is ready at {address}. You are {name} in {room} of {community}.",
    "operator.prompt": "Type a slash command or a sentence; private TEXT writes in private, press LABEL presses a button, quit ends.",
    "operator.seen_room": "in the room",
    "operator.seen_private": "private message",
    "operator.seen_only_you": "only you see this",
    "operator.silence": "(nothing came back)",
    "operator.buttons": "buttons: {labels}",
    "operator.refused": "the chat refuses: {reason}",
}
