"""The ground with the plan on it: pick, move, measure."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from guyline.core.plan import LayerKind, Link, SiteId
from guyline.services.assessment import Assessor
from guyline.services.elevation import Terrain
from guyline.services.map_shapes import MapShape
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view import GroundModel
from guyline.viewmodels.ground_view_coverage import CoverageKind, CoverageModel, CoveragePicture
from guyline.viewmodels.ground_view_layers import CoverageLayer, layer_picture
from guyline.viewmodels.ground_view_marks import SiteMark
from guyline.viewmodels.ground_view_relief import Relief
from guyline.viewmodels.ground_view_shapes import ShapesModel
from guyline.viewmodels.ground_view_skyline import SkylineModel
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import PathEnd, Selection
from guyline.widgets.ground_map_canvas import ZOOM, GroundCanvas
from guyline.widgets.ground_map_key import CoverageKey
from guyline.widgets.ground_map_layers import LayersButton
from guyline.widgets.ground_map_skyline import SkylineStrip
from guyline.widgets.theme import GRID_PX, CurrentTheme, Theme

COVERAGE_FILES = (
    "Page (*.pdf);;Picture with its key (*.png);;Raster for a map program (*.tif);;"
    "Areas for a map program (*.geojson)"
)
FIRST_STEP = "No site has a position yet: enter one in the table."
KEYS = (
    "Click a site to select it, drag it to move it, click a link or Shift-click a second site to"
    " see the path between. Keys: arrows pan, plus and minus zoom, Tab goes to the next site, Ctrl"
    " with an arrow moves the selected one, M measures a path and Enter takes the site as its end."
)


class GroundMap(QWidget):
    """Shows sites, links and ground; a click selects, a drag moves, two clicks make a path."""

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        live: LiveAssessment,
        theme: CurrentTheme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection = document, selection
        self._first: PathEnd | None = None
        self._is_pointing = False
        self._terrain: Terrain | None = None
        self._first_xy = (0.0, 0.0)
        self._picture: CoveragePicture | None = None
        self._layer = CoverageLayer.SERVICE
        self.model = GroundModel(document, selection, live, self)
        self.coverage = CoverageModel(document, selection, self.model, self)
        self.shapes = ShapesModel(document, self)
        self.canvas = GroundCanvas(theme.value)
        self.coverage_key = CoverageKey(theme.value)
        self.skyline = SkylineModel(document, selection, self)
        self.skyline_strip = SkylineStrip(theme.value)
        self.canvas.setAccessibleName("Map of the plan")
        self.canvas.setWhatsThis(KEYS)
        self.measure_button = self._button("Measure a path", "Click two places: their profile")
        self.measure_button.setCheckable(True)
        self.layers_button = LayersButton()
        self.whole_button = self._button("Whole plan", "Show every site")
        self.closer_button = self._button("+", "Closer")
        self.farther_button = self._button("-", "Farther")
        self.readout = QLabel()
        self.readout.setObjectName("muted")
        self.readout.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._lay_out()
        self._connect(theme)
        self._show_frame()

    def use_terrain(self, terrain: Terrain | None, assessor: Assessor) -> None:
        """Draw another ground; the relief is made beside the window."""
        self._terrain = terrain
        self.model.use_terrain(terrain)
        self.skyline.use_terrain(terrain)
        self.shapes.use(assessor.layers)

    def shut_down(self) -> None:
        """Give up all work, so that the window need not wait for it."""
        self.model.cancel()
        self.coverage.show(CoverageKind.NONE)

    def _button(self, text: str, tip: str) -> QToolButton:
        button = QToolButton()
        button.setText(text)
        button.setToolTip(tip)
        button.setAccessibleName(tip if len(text) == 1 else text)
        return button

    def _lay_out(self) -> None:
        tools = QHBoxLayout()
        tools.setContentsMargins(GRID_PX, GRID_PX // 2, GRID_PX, GRID_PX // 2)
        tools.setSpacing(GRID_PX // 2)
        tools.addWidget(self.measure_button)
        tools.addWidget(self.layers_button)
        tools.addStretch(1)
        for button in (self.whole_button, self.closer_button, self.farther_button):
            tools.addWidget(button)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addLayout(tools)
        rows.addWidget(self.canvas, 1)
        rows.addWidget(self.coverage_key)
        rows.addWidget(self.skyline_strip)
        foot = QHBoxLayout()
        foot.setContentsMargins(GRID_PX, 2, GRID_PX, 2)
        foot.addWidget(self.readout)
        rows.addLayout(foot)

    def _connect(self, theme: CurrentTheme) -> None:
        model, canvas, box = self.model, self.canvas, self.canvas.box
        model.marks_changed.connect(self._show_marks)
        model.frame_changed.connect(self._show_frame)
        model.relief_changed.connect(self._show_relief)
        model.progressed.connect(self._show_progress)
        model.refused.connect(self.readout.setText)
        self._selection.site_changed.connect(self._show_selected)
        self._selection.path_changed.connect(lambda path: self._show_marks())
        self._selection.place_changed.connect(self._show_place)
        canvas.pointed_at.connect(self._point)
        canvas.activated.connect(self._activate)
        canvas.escaped.connect(self._stop_measuring)
        canvas.nudged.connect(self._nudge)
        canvas.measure_wanted.connect(self.measure_button.toggle)
        box.drag_started.connect(model.begin_drag)
        box.site_dragged.connect(
            lambda site, x, y: model.move_site(SiteId(site), x, y, dragging=True)
        )
        box.end_dragged.connect(model.move_end)
        box.clicked.connect(self._click)
        self.measure_button.toggled.connect(self._measure)
        self.layers_button.grid_chosen.connect(canvas.show_grid)
        self.layers_button.coverage_chosen.connect(self._cover)
        self.coverage.changed.connect(self._show_coverage)
        self.coverage.waiting.connect(self.coverage_key.tell)
        self.coverage.refused.connect(self.coverage_key.tell)
        self.layers_button.skyline_toggled.connect(self.skyline_strip.setVisible)
        self.layers_button.skyline_toggled.connect(self.skyline.show)
        self.layers_button.layer_chosen.connect(self._show_layer)
        self.layers_button.coverage_wanted.connect(self._choose_coverage_file)
        self.layers_button.shapes_wanted.connect(self._choose_shapes)
        self.layers_button.shapes_dropped.connect(self.shapes.drop)
        self.shapes.changed.connect(self._show_shapes)
        self.shapes.refused.connect(self.readout.setText)
        self.skyline.changed.connect(self.skyline_strip.show_skyline)
        self.skyline.refused.connect(self.skyline_strip.tell)
        self.whole_button.clicked.connect(self.show_whole)
        self.closer_button.clicked.connect(lambda: canvas.zoom(ZOOM))
        self.farther_button.clicked.connect(lambda: canvas.zoom(1.0 / ZOOM))
        theme.changed.connect(self._use_theme)

    def show_whole(self) -> None:
        self.canvas.show_area(self.model.area())

    def _show_frame(self) -> None:
        self.canvas.use_frame(self.model.frame, self._document.plan.incident.units)
        self._show_marks()
        self.show_whole()

    def _show_relief(self, relief: Relief | None) -> None:
        self.canvas.show_relief(relief, self.model.area())
        if relief is not None:
            self.readout.setText(f"Contours every {relief.interval_m:g} m")

    def _show_progress(self, done: float, words: str) -> None:
        self.readout.setText(f"{words} … {done:.0%}" if done >= 0 else words)

    def _show_marks(self) -> None:
        drawing, box, model = self.canvas.drawing, self.canvas.box, self.model
        drawing.marks, drawing.lines = model.marks, model.lines
        picture = self._picture
        drawing.places = model.places if picture is None else model.places_of(picture.places)
        drawing.path = model.path_points()
        drawing.selected = self._selection.site_id
        box.marks, box.lines = model.marks, model.lines
        path = self._selection.path or ()
        box.loose_ends = {n: drawing.path[n] for n, end in enumerate(path) if end.site_id is None}
        drawing.update()
        self.canvas.setAccessibleDescription(model.summary() if model.marks else FIRST_STEP)
        self.canvas.message = "" if model.marks else FIRST_STEP

    def _show_selected(self, site_id: SiteId | None) -> None:
        self.canvas.drawing.selected = site_id
        mark = self.model.mark(site_id)
        if mark is not None:
            self.canvas.reveal(mark.x_m, mark.y_m)
        self.canvas.drawing.update()

    def _show_place(self, place: tuple[float, float] | None) -> None:
        shown = None
        if place is not None and not self._is_pointing:  # the hand knows where it is
            shown = self.model.point(*place)
        self.canvas.drawing.pointer = shown
        self.canvas.drawing.update()

    def _use_theme(self, theme: Theme) -> None:
        self.canvas.use_theme(theme)
        self.coverage_key.use_theme(theme)
        self.skyline_strip.use_theme(theme)

    def _choose_shapes(self, kind: LayerKind) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, f"Map of: {kind}", "", "GeoJSON (*.geojson *.json)"
        )
        if name:
            self.shapes.add(Path(name), kind)

    def _show_shapes(self, shapes: tuple[MapShape, ...]) -> None:
        self.canvas.show_shapes(shapes)
        self.layers_button.drop_action.setEnabled(bool(self._document.plan.map_layers))

    def _cover(self, kind: CoverageKind) -> None:
        self.coverage_key.setVisible(kind is not CoverageKind.NONE)
        self.coverage_key.tell("Working out the coverage …")
        self.coverage.show(kind)

    def _show_coverage(self, picture: CoveragePicture | None) -> None:
        self._picture = picture
        self._show_marks()
        self._show_layer(self._layer)
        self.coverage_key.tell("" if picture is None else picture.summary)
        self.layers_button.save_action.setEnabled(picture is not None)

    def _show_layer(self, layer: CoverageLayer) -> None:
        self._layer = layer
        picture = self._picture
        if picture is None:
            self.canvas.show_coverage(None)
            return
        drawn = layer_picture(picture.plan, picture.coverage, layer)
        self.canvas.show_coverage(drawn, picture.grid)
        self.coverage_key.show_key(drawn.key)

    def _choose_coverage_file(self) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self, "Save the coverage", "coverage.pdf", COVERAGE_FILES
        )
        if name:
            self.save_coverage(Path(name))

    def save_coverage(self, path: Path) -> None:
        """Write the coverage as it is shown now, off the GUI thread."""
        from guyline.viewmodels.paper.coverage_page_files import write_coverage  # paper can wait
        from guyline.viewmodels.paper.type import load_fonts

        if self._picture is None:
            return
        picture, shapes = self._picture, self.shapes.shown
        sources = () if self._terrain is None else self._terrain.sources
        load_fonts()  # on this thread, or the other one would find none
        runner = JobRunner(
            lambda job: write_coverage(
                picture.plan, picture.report, path, sources=sources, shapes=shapes
            ),
            self,
        )
        runner.succeeded.connect(lambda _: self.readout.setText(f"Coverage is in {path}"))
        runner.refused.connect(
            lambda error: self.readout.setText(f"{error} {error.advice}".strip())
        )
        runner.start()

    def _point(self, at: tuple[float, float] | None, hit: SiteMark | Link | None) -> None:
        if at is None:
            self._selection.point_at(None)
            self.readout.clear()
            return
        self.readout.setText(self._words_for(at, hit))
        self._is_pointing = True
        self._selection.point_at(self.model.place(*at))
        self._is_pointing = False
        if self._first is not None:
            words = self.model.way_text(self._first_xy, at)
            self.canvas.drawing.measured = (self._first_xy, at, words)
            self.canvas.drawing.update()

    def _words_for(self, at: tuple[float, float], hit: SiteMark | Link | None) -> str:
        if isinstance(hit, Link):
            return self.model.link_text(hit)
        over = self.shapes.words_at(*self.model.place(*at))
        heard = "" if self._picture is None else self._picture.words_at(*at)
        place = " · ".join(part for part in (self.model.place_text(*at), over, heard) if part)
        return place if hit is None else f"{self.model.site_text(hit)} · {place}"

    def _click(self, hit: SiteId | Link | None, x_m: float, y_m: float, shift: bool) -> None:
        if self.measure_button.isChecked() or shift:
            self._pick(None if isinstance(hit, Link) else hit, x_m, y_m)
        elif isinstance(hit, Link):
            ends = (self.model.end_at(hit.from_id, 0, 0), self.model.end_at(hit.to_id, 0, 0))
            self._selection.select_path(ends)
        elif hit is not None:
            self._selection.select_site(hit)
        else:
            self.skyline.look_from(*self.model.place(x_m, y_m))

    def _pick(self, site_id: SiteId | None, x_m: float, y_m: float) -> None:
        """Take an end of a path; the second one shows the profile."""
        end = self.model.end_at(site_id, x_m, y_m)
        if self._first is None and not self.measure_button.isChecked():
            self._first = self._selected_end()
        if self._first is None:
            mark = self.model.mark(site_id)
            self._first = end
            self._first_xy = (x_m, y_m) if mark is None else (mark.x_m, mark.y_m)
            return
        path, self._first = (self._first, end), None
        self.canvas.drawing.measured = None
        self._selection.select_path(path)

    def _selected_end(self) -> PathEnd | None:
        mark = self.model.mark(self._selection.site_id)
        return None if mark is None else self.model.end_at(mark.site_id, mark.x_m, mark.y_m)

    def _activate(self) -> None:
        """Enter on the selected site: an end of the path while measuring."""
        mark = self.model.mark(self._selection.site_id)
        if mark is not None and self.measure_button.isChecked():
            self._pick(mark.site_id, mark.x_m, mark.y_m)

    def _nudge(self, east: int, north: int) -> None:
        """Move the selected site by two pixels of the map, at least a metre."""
        mark = self.model.mark(self._selection.site_id)
        if mark is not None:
            step = max(1.0, 2.0 * self.canvas.box.viewPixelSize()[0])
            self.model.move_site(mark.site_id, mark.x_m + step * east, mark.y_m + step * north)

    def _measure(self, is_on: bool) -> None:
        self._first = None
        self.canvas.drawing.measured = None
        self.canvas.box.can_move = not is_on
        self.canvas.setCursor(Qt.CursorShape.CrossCursor if is_on else Qt.CursorShape.ArrowCursor)
        self.canvas.drawing.update()

    def _stop_measuring(self) -> None:
        self.measure_button.setChecked(False)
        self._measure(False)

    def focusNextPrevChild(self, forward: bool) -> bool:  # noqa: N802
        """Tab goes from site to site while the map has the keys, and on past the last one."""
        if self.focusWidget() is self.canvas:
            ids = [mark.site_id for mark in self.model.marks]
            selected = self._selection.site_id
            now = ids.index(selected) if selected in ids else (-1 if forward else len(ids))
            then = now + (1 if forward else -1)
            if 0 <= then < len(ids):
                self._selection.select_site(ids[then])
                return True
        return super().focusNextPrevChild(forward)
