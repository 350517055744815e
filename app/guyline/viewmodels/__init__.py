"""The open document and what the widgets show of it: QtCore and QtGui only."""
