"""What is done with the board: kept, renamed, removed, taken back, opened, taken over, turned to the customer, printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from trainapp.desktop.bindings import keys_of, native
from trainapp.desktop.commands import Chosen, PatchCommand
from trainapp.desktop.dialogs import SideWindow
from trainapp.desktop.opening import Aside
from trainapp.desktop.options.bill import BillWindow
from trainapp.desktop.options.column import NAME_LETTERS
from trainapp.desktop.options.commands import COMMANDS
from trainapp.desktop.options.desk import free_name
from trainapp.desktop.options.foot import prices_told
from trainapp.desktop.options.told import ToldWindow
from trainapp.reports.drawing.marks import Mark
from trainapp.train.edits import Patch

if TYPE_CHECKING:
    from trainapp.desktop.options.view import OptionsView
    from trainapp.studies.options.contender import Contender

NO_PROOF = (
    "A calculation is no certificate of safe water: what is meant to be treated has to be proven by tests after start-up, "
    "and local codes and licensed trades decide what may be built."
)


class OptionsDoing:
    """Mixed into the view. A command `x` is the method `do_x`."""

    # Columns ------------------------------------------------------------------------------------------------------------------

    def column(self: OptionsView, key: str = "") -> Contender | None:
        """A column by its key, the one that the keyboard is in where none is given."""
        wanted = key or self.refocus or self.area.selected_column
        return next((c for c in self.columns if c.key == wanted), None)

    def option(self: OptionsView, key: str = "") -> Contender | None:
        """The same, where it is an option; else that is said."""
        found = self.column(key)
        if found is None or found.kind != "option":
            self.bar.say("Go to the column of an option first.")
            return None
        self.bar.say("")
        return found

    def keys_of(self: OptionsView, command: str) -> str:
        """The key of a command in brackets, "" for none."""
        keys = next((keys_of(c, self.prefs.keys) for c in COMMANDS if c.id == command), ())
        return f" ({native(keys[0])})" if keys else ""

    def act(self: OptionsView, action: str, key: str) -> None:
        """Do what a button of a column says."""
        if action == "bench":
            self.bench_asked.emit()
        else:
            getattr(self, f"do_options_{action}")(key)

    def do_options_open(self: OptionsView, key: str = "") -> None:
        """Open an option on a bench of its own."""
        found = self.option(key)
        if found is not None:
            self.document_asked.emit(Aside(found.document, found.name, self.prices))

    def do_options_take(self: OptionsView, key: str = "") -> None:
        """Put an option on the bench in place of what is drawn, as one step of undo."""
        found = self.option(key)
        if found is None:
            return
        session = self.session
        patch = Patch.between(session.document, found.document, f"Take over {found.name}")
        if patch.changes:
            session.stack.push(PatchCommand(session, patch, Chosen(session.selection, session.also), Chosen()))
        self.taken = session.document
        self.bar.say(f"{found.name} stands on the bench now. Undo takes it back.", about="bench")
        self.told.emit(f"{found.name} stands on the bench now")

    def do_options_keep(self: OptionsView, key: str = "") -> None:
        """Keep an option when others are proposed, or do not any more."""
        found = self.option(key)
        if found is not None:
            self._change(replace(found, kept=not found.kept))
            if not found.kept:
                keys = self.keys_of("options_file")
                self.bar.say(f"{found.name} stays on this board. Keep the option as a file{keys} keeps it beyond this window.")

    def do_options_rename(self: OptionsView, key: str = "") -> None:
        """Type a name over the old one."""
        found = self.option(key)
        if found is not None:
            self.bar.say(f"A name has at most {NAME_LETTERS} letters.")
            self.area.columns[found.key].rename()

    def rename(self: OptionsView, key: str, name: str) -> None:
        """Give a column another name; a name that another has is refused."""
        found = self.option(key)
        if found is None:
            return
        if any(c.name.casefold() == name.casefold() for c in self.columns if c.key != key):
            self.bar.say(f"Not renamed: another column is called {name}.", refused=True)
            return
        # a name that was given is a choice: the column stays
        self._change(replace(found, name=name, kept=True))

    def do_options_remove(self: OptionsView, key: str = "") -> None:
        """Take an option off the board."""
        found = self.option(key)
        if found is None:
            return
        places = [c.key for c in self.columns]
        at = places.index(found.key)
        self.removed[found.key], self.stood[found.key] = found, at
        self.columns = tuple(c for c in self.columns if c.key != found.key)
        self.refocus = self.columns[min(at, len(self.columns) - 1)].key
        self.bar.say(f"{found.name} is removed. Take back{self.keys_of('options_take_back')} brings it again; Undo is for the bench.")
        self.lay()

    def do_options_take_back(self: OptionsView) -> None:
        """Take back what was removed last."""
        if not self.removed:
            self.bar.say("Nothing was removed.")
            return
        key, found = self.removed.popitem()
        at = min(self.stood.pop(key, len(self.columns)), len(self.columns))
        back = replace(found, name=free_name(found.name, {column.name for column in self.columns}))
        self.columns = (*self.columns[:at], back, *self.columns[at:])
        self.refocus = key
        self.bar.say(f"{found.name} is back.")
        if self.ground is not None and self.counted is not None:
            # what was supposed may be another by now
            self.stale = True
            self._ask()

    def _change(self: OptionsView, new: Contender) -> None:
        self.bar.say("")
        self.columns = tuple(new if c.key == new.key else c for c in self.columns)
        self.lay()

    # The whole board ------------------------------------------------------------------------------------------------------------

    def do_options_customer(self: OptionsView) -> None:
        """Turn the board to the customer, or back."""
        self.customer = not self.customer
        for window in self.findChildren(SideWindow):
            if self.customer:
                window.close()
        self.bar.say("")
        self.bar.turn(self.customer)
        self.show_board()

    def do_options_again(self: OptionsView) -> None:
        """Look for trains again."""
        if self.ground is not None and not self.stale:
            self.seek()

    def do_options_cancel(self: OptionsView) -> None:
        """Give up what runs; the columns stay as they are."""
        seeking = self.seeking.busy
        self.seeking.drop()
        self.deepening.drop()
        self.busy.end()
        what = "The search was given up: other trains may do better." if seeking else "Given up: years and draws are not all run."
        self.bar.say(f"{what} Look again{self.keys_of('options_again')} runs it anew.", about="search" if seeking else "draws")
        self.show_board()

    def _is_own_side(self: OptionsView) -> bool:
        """Whether the board is turned to its user; else that is said."""
        if self.customer:
            self.bar.say("That is the working: turn to your own side first.")
        return not self.customer

    def do_options_prices(self: OptionsView) -> None:
        """Open the price list."""
        if not self._is_own_side():
            return
        from trainapp.desktop.options.prices import PriceWindow

        window = next(iter(self.findChildren(PriceWindow)), None)
        if window is None:
            window = PriceWindow(self.prices, self.prefs, self)
            window.changed.connect(self._priced)
        window.open_beside()

    def _priced(self: OptionsView, prices: object) -> None:
        from trainapp.studies.cost import PriceList

        if isinstance(prices, PriceList):
            self.prices = prices
            self._ask()

    def do_options_print(self: OptionsView) -> None:
        """Print a proposal, or write the comparison to a file."""
        from trainapp.desktop.options.printing import ProposalWindow

        if self.proposal is None or self.counted is None or self.stale:
            is_over = self.proposal is None and self.sought is not None and not self.seeking.busy
            again = f" Look again{self.keys_of('options_again')} begins it anew." if is_over else ""
            self.bar.say(f"Not printed: the search has not ended.{again}", refused=True, about="print")
            return
        self.bar.say("")
        ProposalWindow(self, self).open_beside()

    # Windows beside it ----------------------------------------------------------------------------------------------------------

    def open_cell(self: OptionsView, column: str, row: str) -> None:
        """Open what is behind a cell."""
        found = self.column(column)
        board = self.board
        if found is None or board is None or self.customer:
            return
        opens = board.row(row).opens
        if opens == "bill":
            self.do_options_bill(column)
        elif opens == "sure":
            self.do_options_sure(column)
        elif opens == "treats":
            self._read(f"{found.name}: what it does", NO_PROOF, list(self._does(found)))
        elif opens == "findings":
            self._read(f"{found.name}: what is left to settle", NO_PROOF, list(_findings(found)))

    def do_options_bill(self: OptionsView, key: str = "") -> None:
        """Open the bill of a column."""
        found = self.column(key)
        if found is None or not self._is_own_side():
            return
        window = next(iter(self.findChildren(BillWindow)), None) or BillWindow(found, self.session.system, self)
        window.turn_to(found, self.session.system)
        window.open_beside()

    def do_options_sure(self: OptionsView, key: str = "") -> None:
        """Open how sure a column is."""
        from trainapp.desktop.options.sure import SureWindow

        found = self.column(key)
        if found is None or not self._is_own_side():
            return
        if not found.measured.evaluation.stages:
            self.bar.say("Nothing stands there that could be drawn for.")
            return
        for other in self.findChildren(SureWindow):
            other.close()
        window = SureWindow(found, self.spreads, self)
        window.spreads_chosen.connect(self._spread)
        window.open_beside()

    def _spread(self: OptionsView, spreads: object) -> None:
        """Other spreads: every column is drawn for anew."""
        from trainapp.studies.confidence import Spreads

        if isinstance(spreads, Spreads):
            self.spreads = spreads
            self.columns = tuple(replace(c, sure=None) for c in self.columns)
            self.deepening.drop()
            self.lay()
            self._deepen()

    def _does(self: OptionsView, found: Contender) -> Iterator[tuple[Mark | None, str]]:
        """Figures behind every row of what a train does."""
        board = self.board
        assert board is not None  # a cell of it was opened
        place = board.column(found.key)
        for section in board.sections:
            for row in section.rows:
                cell = row.cells[place]
                if row.opens == "treats":
                    kind: Mark | None = None if cell.mark in ("", "none") else cell.mark  # type: ignore[assignment]
                    yield kind, " ".join(filter(None, (f"{row.label}: {cell.text}.", cell.note)))

    def read_whole(self: OptionsView, what: str) -> None:
        """Read a line of the foot whole."""
        board = self.board
        if board is None:
            return
        if what == "left out":
            self._read("What was left out, and why", board.looked, [(None, f"{text}.") for text in board.left_out])
        elif what == "safety":
            self._read("Safety", NO_PROOF, [("caution", text) for text in board.safety])
        elif what == "prices":
            self._read("Prices and bands", prices_told(board), [])
        else:
            self._read("Not judged", NO_PROOF, [(None, f"{text[:1].upper()}{text[1:]}.") for text in board.not_judged])

    def do_options_left_out(self: OptionsView) -> None:
        """Read what was left out, and why."""
        if self._is_own_side():
            self.read_whole("left out")

    def do_options_not_judged(self: OptionsView) -> None:
        """Read what was not judged."""
        self.read_whole("not judged")

    def _read(self: OptionsView, title: str, lead: str, sentences: list[tuple[Mark | None, str]]) -> None:
        for other in self.findChildren(ToldWindow):
            other.close()
        ToldWindow(title, lead, sentences, self).open_beside()

    def refresh_windows(self: OptionsView) -> None:
        """Let open bills follow."""
        for window in self.findChildren(BillWindow):
            found = self.column(window.key)
            if found is not None:
                window.turn_to(found, self.session.system)


def _findings(found: Contender) -> Iterator[tuple[Mark | None, str]]:
    for finding in found.measured.findings:
        mark: Mark = finding.severity
        yield mark, " ".join((f"{finding.title}.", finding.message, *finding.cautions))
