"""The desk's looks: paper, ink and floor tape, by day and by lamp; fonts and one style sheet. It knows no widget of ours."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from PyQt6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PyQt6.QtWidgets import QApplication

from previs.document.model import Kind
from previs.exchange import tones as paper

WORDS, FIGURES = "DejaVu Sans", "DejaVu Sans Mono"
"""The humanist face for words and the one in which all figures are as wide, for time code; both come with matplotlib."""


@dataclass(frozen=True, slots=True)
class Looks:
    """Colours as #RRGGBB. `ink`, `soft`, `red`, `blue`, `ochre` and `green` have a contrast of 4.5 : 1 on `ground` and `sheet`.

    `sheet` is what is written on (tables, fields), `shade` a step or a pressed key, `rule` a line, `faint` a line that holds
    nothing, `chosen` the ground of what is chosen and `focus` the ring around what the keys go to.
    """

    name: str
    ground: str
    sheet: str
    ink: str
    soft: str
    faint: str
    rule: str
    shade: str
    red: str
    blue: str
    ochre: str
    green: str
    chosen: str
    focus: str
    tape: tuple[str, ...]

    def treatment(self, kind: Kind) -> str:
        """The colour of a kind of treatment; its hatching (`exchange.tones`) tells it without."""
        return {Kind.DIGITAL_DOUBLE: self.green, Kind.FACE_REPLACEMENT: self.blue, Kind.RIG_REMOVAL: self.ochre}[kind]


DAY = Looks(
    name="day",
    ground=paper.GROUND,
    sheet="#FFFDF7",
    ink=paper.INK,
    soft="#5C5347",
    faint="#CFC4AC",
    rule=paper.FAINT,
    shade=paper.SHADE,
    red=paper.RED,
    blue=paper.BLUE,
    ochre=paper.OCHRE,
    green=paper.GREEN,
    chosen="#F3DFA6",
    focus="#B4551A",
    tape=("#C9473B", "#2F6CA8", "#D9A21B", "#3F8A4E", "#8A5AA0", "#D9772B", "#5E6A71"),
)
LAMP = Looks(
    name="lamp",
    ground="#26221D",
    sheet="#1D1A16",
    ink="#F3EBD9",
    soft="#C4B8A2",
    faint="#51493E",
    rule="#8C8272",
    shade="#3A342B",
    red="#F2877C",
    blue="#8FBDEB",
    ochre="#E2B45F",
    green="#8CCB98",
    chosen="#5A4A22",
    focus="#F0A05A",
    tape=("#C9473B", "#2F6CA8", "#D9A21B", "#3F8A4E", "#8A5AA0", "#D9772B", "#7C8890"),
)

_now = DAY


def looks() -> Looks:
    """The looks that hold now; asked anew on every paint, since the person may change them."""
    return _now


def wear(app: QApplication, chosen: Looks, points: int = 10) -> None:
    """Put the program into these looks, with words of `points` points."""
    global _now
    _now = chosen
    _load_fonts()
    app.setFont(QFont(WORDS, points))
    app.setPalette(_palette(chosen))
    app.setStyleSheet(_sheet(chosen, points))


def figures_font(points: float | None = None) -> QFont:
    """The face for time code, as large as the words around it unless `points` says otherwise."""
    font = QFont(FIGURES)
    font.setStyleHint(QFont.StyleHint.Monospace)
    font.setPointSizeF(points or QApplication.font().pointSizeF())
    return font


def _load_fonts() -> None:
    if WORDS in QFontDatabase.families() and FIGURES in QFontDatabase.families():
        return
    found = find_spec("matplotlib")
    if found and found.origin:
        folder = Path(found.origin).parent / "mpl-data" / "fonts" / "ttf"
        for name in ("DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique", "DejaVuSansMono", "DejaVuSansMono-Bold"):
            QFontDatabase.addApplicationFont(str(folder / f"{name}.ttf"))


def _palette(one: Looks) -> QPalette:
    palette, role = QPalette(), QPalette.ColorRole
    for which, colour in {
        role.Window: one.ground,
        role.Base: one.sheet,
        role.AlternateBase: one.ground,
        role.Button: one.shade,
        role.ToolTipBase: one.sheet,
        role.Highlight: one.chosen,
        role.Link: one.blue,
        role.PlaceholderText: one.soft,
    }.items():
        palette.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText, role.ToolTipText, role.HighlightedText):
        palette.setColor(which, QColor(one.ink))
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(one.rule))
    return palette


def _sheet(one: Looks, points: int) -> str:
    return f"""
    QWidget {{ color: {one.ink}; }}
    QMainWindow, QDialog, QStackedWidget {{ background: {one.ground}; }}
    QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
    QToolTip {{ background: {one.sheet}; color: {one.ink}; border: 1px solid {one.rule}; padding: 4px; }}
    QPushButton, QToolButton, QComboBox {{
        background: {one.shade}; border: 1px solid {one.rule}; border-radius: 2px; padding: 4px 10px; min-height: 20px; }}
    QFileDialog QToolButton {{ padding: 2px; }}
    QPushButton:hover, QToolButton:hover, QComboBox:hover {{ background: {one.chosen}; }}
    QPushButton:checked, QToolButton:checked {{ background: {one.chosen}; border: 2px solid {one.ink}; }}
    QPushButton:disabled, QToolButton:disabled, QComboBox:disabled {{ color: {one.rule}; background: {one.ground}; }}
    QPushButton:focus, QToolButton:focus, QComboBox:focus, QLineEdit:focus, QSpinBox:focus, QPlainTextEdit:focus,
    QAbstractItemView:focus, QSlider:focus {{ border: 2px solid {one.focus}; }}
    QCheckBox::indicator {{ width: 13px; height: 13px; border: 1px solid {one.rule}; background: {one.sheet}; }}
    QCheckBox::indicator:checked {{ background: {one.ink}; border: 1px solid {one.ink}; }}
    QCheckBox:disabled {{ color: {one.rule}; }}
    QCheckBox::indicator:disabled {{ background: {one.ground}; }}
    QCheckBox:focus, QRadioButton:focus {{ color: {one.focus}; text-decoration: underline; }}
    QLineEdit, QSpinBox, QPlainTextEdit, QAbstractItemView {{
        background: {one.sheet}; border: 1px solid {one.rule}; selection-background-color: {one.chosen};
        selection-color: {one.ink}; alternate-background-color: {one.ground}; gridline-color: {one.faint}; }}
    QLineEdit {{ placeholder-text-color: {one.soft}; }}
    QLineEdit, QSpinBox {{ padding: 3px 4px; }}
    QHeaderView::section {{
        background: {one.shade}; color: {one.ink}; border: 0; border-right: 1px solid {one.rule};
        border-bottom: 1px solid {one.rule}; padding: 4px 6px; }}
    QTableView::item:selected, QListView::item:selected, QTreeView::item:selected {{ background: {one.chosen}; color: {one.ink}; }}
    QMenuBar, QMenu {{ background: {one.ground}; }}
    QMenu {{ border: 1px solid {one.rule}; }}
    QMenu::item:selected, QMenuBar::item:selected {{ background: {one.chosen}; color: {one.ink}; }}
    QMenu::item:disabled {{ color: {one.rule}; }}
    QProgressBar {{ border: 1px solid {one.rule}; background: {one.sheet}; text-align: center; min-height: 16px; }}
    QProgressBar::chunk {{ background: {one.chosen}; }}
    QSplitter::handle {{ background: {one.faint}; }}
    QSplitter::handle:hover {{ background: {one.rule}; }}
    QLabel[kind="soft"] {{ color: {one.soft}; }}
    QLabel[kind="red"] {{ color: {one.red}; font-weight: bold; }}
    QLabel[kind="title"] {{ font-size: {points * 1.5:.0f}pt; font-weight: bold; }}
    QLabel[kind="heading"] {{ font-weight: bold; }}
    QLabel[kind="figures"] {{ font-family: "{FIGURES}"; }}
    """
