"""Paper: layout in millimetres and one painter for PDF, printer and preview."""

from guyline.viewmodels.paper.pdf import write_pdf, write_plan_pdf

__all__ = ["write_pdf", "write_plan_pdf"]
