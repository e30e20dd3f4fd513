INSERT INTO opening_hours (weekday, opens, closes)
VALUES (1, '08:30:00.000000', '17:00:00.000000'), (5, '08:30:00.000000', '12:00:00.000000');

INSERT INTO closures (id, yard_id, first_day, last_day, reason, noted_by, noted_at)
VALUES (1, NULL, '2026-12-24', '2027-01-02', 'Between the years', 1, '2026-03-02 12:00:00.000000'),
       (2, 1, '2026-04-01', '2026-04-01', 'New tarmac', NULL, '2026-03-02 12:00:00.000000');

INSERT INTO instructor_hours (id, instructor_id, weekday, begins, ends)
VALUES (1, 1, 1, '09:00:00.000000', '13:00:00.000000'), (2, 1, 1, '14:00:00.000000', '17:00:00.000000');

INSERT INTO days_off (id, instructor_id, first_day, last_day, reason, noted_by, noted_at)
VALUES (1, 1, '2026-05-04', '2026-05-08', 'Holiday', 1, '2026-03-02 12:00:00.000000');

INSERT INTO authorisations (instructor_id, kind, expires_on)
VALUES (1, 'cbt', '2027-06-30'), (1, 'direct_access', NULL);
