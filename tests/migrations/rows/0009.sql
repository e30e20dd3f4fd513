INSERT INTO audit_entries (id, at, account_id, origin, action, subject, subject_id, details)
VALUES (2, '2026-03-02 15:30:00.000000', NULL, 'command', 'rebuilt', 'standings', 'all', '{}');
