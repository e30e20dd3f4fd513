INSERT INTO students (id, account_id, name, category, notes, sought, created_at, version)
VALUES (1, 2, 'Lena Wren', 'A2', 'Prefers mornings', 'lena wren', '2026-03-02 12:00:00.000000', 3),
       (2, NULL, 'Stan Crake', 'AM', '', 'stan crake', '2026-03-02 12:00:00.000000', 1);

INSERT INTO instructors (id, account_id, name, active)
VALUES (1, 1, 'Olive Marsh', true);

INSERT INTO papers (id, student_id, kind, issued_on, expires_on, checked_by, checked_at)
VALUES (1, 1, 'cbt', '2025-06-01', '2027-06-01', 1, '2026-03-02 12:00:00.000000');
