"""What the page keeps beside the messages: a person's own acts, silences, and an open form."""

from collections import defaultdict, deque
from dataclasses import dataclass
from typing import Literal

from bot.rehearsal.acts.seen import Seen

Act = Literal["typed", "pressed", "chose", "filled", "silent"]
KEPT = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One line in the margin; its id gives it its place among the messages."""

    id: int
    act: Act
    text: str
    time: str


class Notebook:
    """Lives as long as the server, so that a page may be loaded anew."""

    def __init__(self) -> None:
        self._notes: defaultdict[tuple[int, int], deque[Note]]
        self._notes = defaultdict(lambda: deque(maxlen=KEPT))
        self._forms: dict[int, Seen] = {}

    def add(self, person: int, place: int, note: Note) -> None:
        """One more line for this person here."""
        self._notes[person, place].append(note)

    def notes(self, person: int, place: int) -> list[Note]:
        """The lines of this person here."""
        return list(self._notes.get((person, place), ()))

    def open_form(self, person: int, form: Seen) -> None:
        """A form opens; as on the platform it takes the place of one that was open."""
        self._forms[person] = form

    def form(self, person: int) -> Seen | None:
        """The form that is open before this person."""
        return self._forms.get(person)

    def close_form(self, person: int, interaction: int) -> None:
        """This form is done with, unless another has taken its place."""
        form = self._forms.get(person)
        if form is not None and form.interaction_id == interaction:
            del self._forms[person]
