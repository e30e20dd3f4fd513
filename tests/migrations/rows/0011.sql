INSERT INTO courses (id, student_id, name, booked_at, booked_by)
VALUES (1, 1, 'Four mornings', '2026-03-02 12:00:00.000000', 1);

INSERT INTO bookings (id, session_id, starts_at, ends_at, student_id, bike_id, state, booked_at, booked_by,
    cancelled_at, cancelled_by, given_up_for, held_until, course_id, late, version)
VALUES (3, 1, '2026-03-02 12:00:00.000000', '2026-03-02 15:30:00.000000', 1, NULL, 'cancelled', '2026-03-01 12:00:00.000000', 1,
    '2026-03-01 18:00:00.000000', 2, 'weather', NULL, 1, false, 3);

INSERT INTO waiting (id, student_id, kind, session_id, earliest, latest, weekdays, begins, ends, own_bike,
    asked_at, asked_by, state, version)
VALUES (1, 1, 'module_1', NULL, '2026-03-02', '2026-04-30', '56', '09:00:00.000000', NULL, false,
    '2026-03-01 12:00:00.000000', 1, 'waiting', 1),
       (2, 1, 'road', 1, '2026-03-02', '2026-03-02', '0123456', NULL, NULL, true,
    '2026-03-01 12:00:00.000000', NULL, 'over', 2);

INSERT INTO offers (id, waiting_id, session_id, booking_id, made_at, state)
VALUES (1, 2, 1, 3, '2026-03-01 12:30:00.000000', 'lapsed');

INSERT INTO calendar_feeds (id, digest, instructor_id, student_id, made_at, made_by, revoked_at, revoked_by)
VALUES (1, 'aa11', NULL, NULL, '2026-03-01 12:00:00.000000', 1, NULL, NULL),
       (2, 'bb22', 1, NULL, '2026-03-01 12:00:00.000000', NULL, '2026-03-02 12:00:00.000000', 1);
