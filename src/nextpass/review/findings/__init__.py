"""Findings: evidence in, findings out, no order between them."""

from nextpass.review.findings.finding import Finding, Severity

__all__ = ["Finding", "Severity"]
