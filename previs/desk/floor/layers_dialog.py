"""The dialog that asks in which unit a plan is drawn and what its layers hold; it reads nothing."""

from __future__ import annotations

from PyQt6.QtWidgets import QComboBox, QFormLayout, QFrame, QScrollArea, QWidget

from previs.desk.asking import Asking
from previs.desk.plain import PlainLabel
from previs.desk.words import tr
from previs.faults import UseFault
from previs.floor.drawing_layers import PLACE
from previs.floor.drawing_survey import KINDS, Survey, layers_written
from previs.floor.drawing_told import size_told
from previs.floor.drawing_units import UNIT_NAMES

_MOST_LAYERS = 200
_LAYERS_HIGH_PX = 260


class LayersDialog(Asking):
    """Asks for the unit, with how large the set would be in each, and for what each layer holds."""

    def __init__(self, found: Survey, name: str, parent: QWidget | None) -> None:
        about = tr(
            "{name} is read for taping a floor only. Say in which unit it is drawn, and what its layers hold; a layer that holds "
            "nothing of the plan is left out.",
            name=name,
        )
        super().__init__(tr("Unit and layers of the plan"), about, tr("Read the plan"), parent)
        self._found = found
        self.unit_box = QComboBox()
        self.unit_box.setAccessibleName(tr("Unit of the drawing"))
        if not found.unit:
            self.unit_box.addItem(tr("not said: choose one"), "")
        elif found.unit not in UNIT_NAMES:
            self.unit_box.addItem(tr("{unit}, as the drawing says", unit=found.unit), "")
        for unit in UNIT_NAMES:
            said = tr("{unit}: the set is {size}", unit=unit, size=size_told(*found.size_mm(unit)))
            self.unit_box.addItem(tr("{said}, as the drawing says", said=said) if unit == found.unit else said, unit)
        self.unit_box.setCurrentIndex(max(self.unit_box.findData(found.unit), 0) if found.unit else 0)
        self.form.addRow(tr("Unit"), self.unit_box)
        self.holds: dict[str, QComboBox] = {}
        self.form.addRow(tr("Layers"), self._layer_boxes())

    @property
    def unit(self) -> str:
        """The unit that is chosen, empty for the drawing's own."""
        chosen: str = self.unit_box.currentData()
        return chosen

    @property
    def layers(self) -> str:
        """The layers as `read_plan` takes them, empty where nobody changed what their names say."""
        chosen = {name: str(box.currentData()) for name, box in self.holds.items()}
        by_name = {layer.name: layer.holds for layer in self._found.layers if layer.name in chosen}
        return "" if chosen == by_name else layers_written(chosen)

    def do(self) -> None:
        """Refuse what cannot be read."""
        if not self.unit and not self._found.unit:
            raise UseFault(tr("The drawing does not say its unit; choose the one in which the set has its right size."))
        if not any(box.currentData() not in ("", PLACE) for box in self.holds.values()):
            raise UseFault(tr("No layer holds lines of the plan; say at least which one holds the walls."))

    def _layer_boxes(self) -> QWidget:
        inner = QWidget()
        form = QFormLayout(inner)
        words = kind_words()
        for layer in self._found.layers[:_MOST_LAYERS]:
            if not layer.can_be_named:
                continue
            box = QComboBox()
            box.addItem(tr("nothing of the plan"), "")
            for kind in KINDS:
                box.addItem(words[kind], kind)
            box.setCurrentIndex(max(box.findData(layer.holds), 0))
            box.setAccessibleName(tr("What layer {name} holds", name=layer.name))
            self.holds[layer.name] = box
            form.addRow(PlainLabel(tr("{name} ({count})", name=layer.name[:40], count=layer.count)), box)
        area = QScrollArea()
        area.setWidget(inner)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setMinimumHeight(min(inner.sizeHint().height() + 8, _LAYERS_HIGH_PX))
        return area


def kind_words() -> dict[str, str]:
    """What a layer can hold, in words."""
    return {
        "wall": tr("walls"), "door": tr("doors"), "step": tr("steps"), "drop": tr("drops"), "column": tr("columns"),
        "other": tr("other lines"), "place": tr("names of places"),
    }  # fmt: skip
