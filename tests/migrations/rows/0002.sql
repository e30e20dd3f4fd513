INSERT INTO settings (key, value)
VALUES ('school_name', '"Estuary Riders"');

INSERT INTO submissions (key, made_at, record_id)
VALUES ('6f1f1c1e5d0b4a3e9c55a0f0c2b7d111', '2026-03-02 12:00:00.000000', 1);

INSERT INTO messages (id, recipient, subject, body, made_at, sent_at, tries, last_error)
VALUES (1, 'lena@example.org', 'Welcome', 'Ærøskøbing 12:00', '2026-03-02 12:00:00.000000', NULL, 2, 'busy');

INSERT INTO audit_entries (id, at, account_id, origin, action, subject, subject_id, details)
VALUES (1, '2026-03-02 12:00:00.000000', 1, '192.0.2.7', 'invited', 'accounts', '2', '{"roles": 1}');
