"""The style sheet: what a palette alone cannot say."""

from __future__ import annotations

from collections.abc import Mapping
from string import Template

_SHEET = Template("""
QToolTip { background: $raised; color: $ink; border: 1px solid $hairline; padding: 4px; }
QMenuBar { background: $window; color: $ink; padding: 0 4px; }
QMenuBar::item { padding: 4px 8px; background: transparent; }
QMenuBar::item:selected { background: $selection; }
QMenu { background: $raised; color: $ink; border: 1px solid $hairline; padding: 4px 0; }
QMenu::item { padding: 4px 24px 4px 24px; }
QMenu::item:selected { background: $selection; color: $ink; }
QMenu::item:disabled { color: $muted; }
QMenu::separator { height: 1px; background: $hairline; margin: 4px 0; }

QFrame#panel, QFrame#notice { background: $paper; border: 1px solid $hairline; }
QFrame#notice { border: 1px solid $accent; border-left-width: 6px; }
QWidget#sheet, QFrame#strip { background: $paper; }
QToolButton#disclosure { background: transparent; border: none; padding: 0; width: 20px; }
QLabel#heading { font-weight: bold; }
QLabel#title { font-size: $large; font-weight: bold; }
QLabel#small { font-size: $small; }
QLabel#problem { font-size: $small; font-weight: bold; }
QLabel#muted { color: $muted; }
QLabel#evidence { color: $muted; font-size: $small; }
QSplitter::handle { background: $window; }
QSplitter::handle:hover { background: $hairline; }

QPushButton, QToolButton {
    background: $raised; color: $ink; border: 1px solid $hairline; border-radius: 3px;
    padding: 3px 10px; }
QPushButton:hover, QToolButton:hover { border-color: $accent; }
QPushButton:focus, QToolButton:focus { border: 2px solid $accent; padding: 2px 9px; }
QPushButton:pressed, QToolButton:pressed { background: $selection; }
QPushButton:checked, QToolButton:checked {
    background: $accent; color: $on_accent; border-color: $accent; }
QToolButton[popupMode="2"] { padding-right: 22px; }
QToolButton::menu-indicator {
    image: url("$icons/chevron_$name.svg"); width: 12px; height: 12px;
    subcontrol-origin: padding; subcontrol-position: center right; right: 5px; }
QPushButton#segment { padding: 3px 5px; }
QPushButton#segment:focus { padding: 2px 4px; }
QPushButton:disabled, QToolButton:disabled { color: $muted; background: $sunk; }

QLineEdit, QPlainTextEdit, QComboBox, QDateEdit, QSpinBox, QDoubleSpinBox {
    background: $raised; color: $ink; border: 1px solid $hairline; border-radius: 3px;
    padding: 2px 6px; selection-background-color: $accent; selection-color: $on_accent; }
QLineEdit:focus, QPlainTextEdit:focus, QComboBox:focus, QDateEdit:focus {
    border: 2px solid $accent; padding: 1px 5px; }
QComboBox { padding-right: 20px; }
QComboBox::drop-down { border: none; width: 20px; }
QComboBox::down-arrow { image: url("$icons/chevron_$name.svg"); width: 12px; height: 12px; }
QComboBox QAbstractItemView {
    background: $raised; color: $ink; border: 1px solid $hairline; outline: none;
    selection-background-color: $selection; selection-color: $ink; }
QCheckBox { spacing: 8px; background: transparent; }
QCheckBox::indicator, QTableView::indicator {
    width: 14px; height: 14px; background: $raised; border: 1px solid $muted; border-radius: 2px; }
QCheckBox::indicator:checked, QTableView::indicator:checked {
    background: $accent; border-color: $accent; image: url("$icons/tick_$name.svg"); }
QRadioButton { spacing: 8px; background: transparent; }
QRadioButton::indicator {
    width: 14px; height: 14px; background: $raised; border: 1px solid $muted; border-radius: 8px; }
QRadioButton::indicator:checked { background: qradialgradient(
    cx: 0.5, cy: 0.5, radius: 0.5, fx: 0.5, fy: 0.5,
    stop: 0 $accent, stop: 0.5 $accent, stop: 0.6 $raised, stop: 1 $raised); }
QRadioButton:focus { color: $accent; }
QCheckBox:focus { color: $accent; }
QLineEdit:disabled, QComboBox:disabled { background: $sunk; color: $muted; }
QLineEdit[wrong="true"] { border: 2px solid $ink; }

QTableView {
    background: $paper; color: $ink; border: none; gridline-color: $hairline;
    selection-background-color: $selection; selection-color: $ink; }
QTableView#records::item { padding: 0 5px; }
QTableView QLineEdit, QTableView QComboBox { border-radius: 0; }
QHeaderView { background: $sunk; }
QHeaderView::down-arrow { image: url("$icons/chevron_$name.svg"); width: 12px; height: 12px; }
QHeaderView::up-arrow { image: url("$icons/chevron_up_$name.svg"); width: 12px; height: 12px; }
QHeaderView::section {
    background: $sunk; color: $muted; border: none; border-bottom: 1px solid $hairline;
    padding: 4px 8px; }
QTableCornerButton::section { background: $sunk; border: none; }
QScrollArea { background: $paper; border: none; }

QScrollBar:vertical { background: transparent; width: 12px; margin: 0; }
QScrollBar:horizontal { background: transparent; height: 12px; margin: 0; }
QScrollBar::handle { background: $hairline; border-radius: 4px; margin: 2px; }
QScrollBar::handle:vertical { min-height: 32px; }
QScrollBar::handle:horizontal { min-width: 32px; }
QScrollBar::handle:hover { background: $muted; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }

QProgressBar {
    background: $sunk; border: 1px solid $hairline; border-radius: 3px; color: $ink;
    text-align: center; }
QProgressBar::chunk { background: $selection; }
QDialogButtonBox { dialogbuttonbox-buttons-have-icons: 0; }
QMessageBox { dialogbuttonbox-buttons-have-icons: 0; }
QStatusBar { background: $window; color: $muted; }
""")


def style_sheet(colours: Mapping[str, str]) -> str:
    """Return the sheet with a theme's colours filled in."""
    return _SHEET.substitute(colours)
