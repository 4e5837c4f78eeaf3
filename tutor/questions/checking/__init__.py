"""`check`: what is proved of a template before anybody is asked it.

Each module proves one thing and yields findings; `report` puts them together. The workshop and the command run this
code.
"""

from tutor.questions.checking.findings import Finding
from tutor.questions.checking.report import TemplateReport, check_template

__all__ = ["Finding", "TemplateReport", "check_template"]
