"""A field to type words into."""

from asyncio import Event

from textual.events import Focus, Paste
from textual.widgets import Input

from fieldbook.book.entry import clean


class Field(Input):
    """One line of text; what is pasted comes in as clean as it would be stored."""

    def on_focus(self, event: Focus) -> None:
        """Have the end of the words in sight, where the next key goes; else only a key shows it."""
        if not event.from_app_focus:
            self.action_home()
            self.action_end()

    def on_paste(self, event: Paste) -> None:
        event.text = clean(event.text, one_line=True)

    async def take_in(self) -> str:
        """What stands in the field when every key pressed so far has come into it."""
        typed = Event()
        if self.call_later(typed.set):
            await typed.wait()
        return self.value
