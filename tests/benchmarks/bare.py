"""The least a Textual app can be: it says one word, and then how often Enter was pressed."""

from textual.app import App, ComposeResult
from textual.events import Key
from textual.widgets import Static


class BareApp(App[None]):
    presses = 0

    def compose(self) -> ComposeResult:
        yield Static("ready")

    def on_key(self, event: Key) -> None:
        if event.key == "enter":
            self.presses += 1
            self.query_one(Static).update(f"pressed {self.presses}")


if __name__ == "__main__":
    BareApp().run()
