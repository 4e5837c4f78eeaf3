"""Rounds: papers for many members, sent by mail or handed out on paper, and the answers that come back.

Pure of SMTP, IMAP, SQL and the look of anything: what is written, sent, fetched and read out of a mail comes in through
the ports of `learning.ports.post`.
"""
