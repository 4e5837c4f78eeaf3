"""Printed and mailed papers: rounds for those who live by e-mail or paper."""
