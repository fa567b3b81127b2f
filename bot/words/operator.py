"""What the person who runs the bot reads on the terminal."""

from typing import Final

SENTENCES: Final = {
    "operator.no_token": "TANKWREN_TOKEN is not set. Put the bot's token there, or its file in TANKWREN_TOKEN_FILE.",
    "operator.bad_token": "The chat server refused TANKWREN_TOKEN. Make a new token and set it.",
    "operator.token_file": "TANKWREN_TOKEN_FILE {path} cannot be read.",
    "operator.data_dir": "TANKWREN_DATA_DIR {path} cannot be written.",
    "operator.database": "The database {url} cannot be opened.",
    "operator.old_schema": "The database is at schema {found}, this version needs {wanted}. Run: tankwren migrate",
    "operator.second": "another Tankwren runs on {path}: stop it first.",
    "operator.no_schema": "The database is empty. Run: tankwren migrate",
    "operator.port": "Port {port} is in use. Choose another with --port.",
    "operator.url": "{name} is no plain {scheme} address (no name or password in it).",
    "operator.token_form": "TANKWREN_TOKEN holds something that is no token: it has spaces or line breaks.",
    "operator.token_mode": "TANKWREN_TOKEN_FILE {path} can be read by others. Run: chmod 600 on it.",
    "operator.dotenv": "The file {path} cannot be read as text.",
    "operator.database_url": "TANKWREN_DATABASE_URL must begin with sqlite+aiosqlite:/// and name a file.",
    "operator.record": "The record {path} cannot be written.",
    "operator.new_schema": "The database is at schema {found}, newer than this version's {wanted}. Update Tankwren.",
    "operator.refused_start": "The chat server refused to start us (HTTP {status}). Check the token's application and try again.",
    "operator.closed": "The chat server closed the connection for good (code {code}). Check the bot's settings there.",
    "operator.intents": "The chat server refused the bot's intents (code 4014). It needs only unprivileged ones: check its settings there.",
    "operator.records": "{path} is no records file: {reason}.",
    "operator.bad_line": "No records that can be read: {reason}.",
    "operator.ask_needs": "ask needs --records FILE and --json TEXT, or --batch.",
    "operator.migrated": "The database is at schema {revision}.",
    "operator.ready": "Tankwren is ready at {address}. You are {name} in {room} of {community}.",
    "operator.prompt": (
        "Type a slash command or a sentence; private TEXT writes in private, press LABEL presses a "
        "button, fill name=text; name=text fills a form, who NAME makes you somebody else, quit ends."
    ),
    "operator.now": "You are {name} now.",
    "operator.nobody": "Nobody of that name. There are {names}.",
    "operator.field": "{name}: {label}",
    "operator.file": "file: {name} ({size} bytes)",
    "operator.ready_page": "Tankwren is ready. The page: {address} You are {name} in {room} of {community}.",
    "operator.seen_room": "in the room",
    "operator.seen_private": "private message",
    "operator.seen_only_you": "only you see this",
    "operator.silence": "(nothing came back)",
    "operator.buttons": "buttons: {labels}",
    "operator.refused": "the chat refuses: {reason}",
}
