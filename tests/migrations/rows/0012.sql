INSERT INTO unwanted_messages (student_id, kind) VALUES (1, 'reminder');

INSERT INTO messages (id, recipient, subject, body, made_at, sent_at, claimed_at, tries, last_error, kind, html,
    student_id, booking_id, once_key, dropped_at, refused_at, next_try_at, facts)
VALUES (90, 'lena@example.org', 'Booked', 'Until then.', '2026-03-01 12:00:00.000000', NULL, NULL, 0, NULL, 'confirmation',
    '<p>Until then.</p>', 1, 1, 'booked:1', '2026-03-01 13:00:00.000000', NULL, '2026-03-01 12:05:00.000000', '{"bookings": {}}');

INSERT INTO students (id, name, category, notes, sought, created_at, merged_into_id, merged_at, version)
VALUES (90, 'Lena Wren', 'A', '', 'lena wren', '2026-03-01 12:00:00.000000', 1, '2026-03-01 12:00:00.000000', 1);
