"""The platform's refusals, with its JSON error codes.

ApiError
`-- raised by every rule and route; the transport turns it into the platform's JSON form.
"""

from typing import Any, TypeAlias

# A JSON object as received: its values are checked by the rules, not by the type checker.
Json: TypeAlias = dict[str, Any]

KNOWN: dict[int, tuple[int, str]] = {
    0: (404, "404: Not Found"),
    10002: (404, "Unknown Application"),
    10003: (404, "Unknown Channel"),
    10004: (404, "Unknown Guild"),
    10007: (404, "Unknown Member"),
    10008: (404, "Unknown Message"),
    10013: (404, "Unknown User"),
    10015: (404, "Unknown Webhook"),
    10062: (404, "Unknown interaction"),
    10063: (404, "Unknown application command"),
    30003: (400, "Maximum number of pins reached for the channel (50)"),
    30032: (400, "Maximum number of application commands reached (100)"),
    30034: (429, "Maximum number of daily application command creates has been reached (200)"),
    40005: (413, "Request entity too large"),
    40060: (400, "Interaction has already been acknowledged."),
    50001: (403, "Missing Access"),
    50003: (403, "Cannot execute action on a DM channel"),
    50005: (403, "Cannot edit a message authored by another user"),
    50006: (400, "Cannot send an empty message"),
    50007: (403, "Cannot send messages to this user"),
    50013: (403, "Missing Permissions"),
    50027: (401, "Invalid Webhook Token"),
    50109: (400, "The request body contains invalid JSON."),
    50278: (403, "Cannot send messages to this user due to having no mutual guilds"),
}


class ApiError(Exception):
    """A refusal: HTTP status, JSON code, message and, for 50035, the tree of errors."""

    def __init__(self, status: int, code: int, message: str, errors: Json | None = None) -> None:
        super().__init__(f"{code}: {message}")
        self.status = status
        self.code = code
        self.message = message
        self.errors = errors

    def body(self) -> Json:
        """The JSON object the platform sends for this refusal."""
        body: Json = {"message": self.message, "code": self.code}
        if self.errors is not None:
            body["errors"] = self.errors
        return body


def refuse(code: int) -> ApiError:
    """The refusal with this JSON code, to be raised."""
    status, message = KNOWN[code]
    return ApiError(status, code, message)


def unauthorized() -> ApiError:
    """The answer to a missing or revoked bot token."""
    return ApiError(401, 0, "401: Unauthorized")


class Problems:
    """Gathers the errors of one form, each at its path, and raises them as one 50035."""

    def __init__(self) -> None:
        self.tree: Json = {}

    def add(self, path: tuple[str | int, ...], code: str, message: str) -> None:
        """Note one error at this place of the form."""
        node = self.tree
        for part in path:
            node = node.setdefault(str(part), {})
        node.setdefault("_errors", []).append({"code": code, "message": message})

    def length(self, path: tuple[str | int, ...], value: object, least: int, most: int) -> None:
        """A text of least..most characters must stand here."""
        if not isinstance(value, str):
            self.add(path, "BASE_TYPE_REQUIRED", "This field is required")
        elif len(value) > most:
            self.add(path, "BASE_TYPE_MAX_LENGTH", f"Must be {most} or fewer in length.")
        elif len(value) < least:
            self.add(path, "BASE_TYPE_BAD_LENGTH", f"Must be between {least} and {most} in length.")

    def optional_length(
        self, path: tuple[str | int, ...], value: object, most: int, least: int = 0
    ) -> None:
        """A text may stand here; if so it has least..most characters."""
        if value is not None:
            self.length(path, value, least, most)

    def count(self, path: tuple[str | int, ...], value: object, least: int, most: int) -> bool:
        """A list of least..most entries must stand here; tells whether it is a list at all."""
        if not isinstance(value, list):
            self.add(path, "LIST_TYPE_CONVERT", "Only iterables may be used in a ListType")
            return False
        if not least <= len(value) <= most:
            self.add(path, "BASE_TYPE_BAD_LENGTH", f"Must be between {least} and {most} in length.")
        return True

    def whole(self, path: tuple[str | int, ...], value: object, least: int, most: int) -> bool:
        """A whole number in this range may stand here (None counts as absent)."""
        if value is None:
            return True
        if type(value) is not int or not least <= value <= most:
            self.add(path, "NUMBER_TYPE_RANGE", f"int value should be between {least} and {most}.")
            return False
        return True

    def stop(self) -> None:
        """Raise 50035 if anything was noted."""
        if self.tree:
            raise ApiError(400, 50035, "Invalid Form Body", self.tree)


def invalid(path: tuple[str | int, ...], code: str, message: str) -> ApiError:
    """A 50035 with one error, to be raised."""
    problems = Problems()
    problems.add(path, code, message)
    return ApiError(400, 50035, "Invalid Form Body", problems.tree)
