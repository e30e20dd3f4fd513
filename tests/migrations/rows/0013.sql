INSERT INTO training_sessions (id, yard_id, instructor_id, kind, starts_at, ends_at, places,
    surface, windy, surface_remark, remarks, cancelled_at, cancelled_by, version)
VALUES (90, 1, 1, 'module_1', '2026-03-02 15:30:00.000000', '2026-03-02 17:30:00.000000', 1, NULL, NULL, '', '', NULL, NULL, 1);

INSERT INTO bookings (id, session_id, starts_at, ends_at, student_id, bike_id, state, booked_at, booked_by,
    cancelled_at, cancelled_by, given_up_for, held_until, course_id, late, version)
VALUES (90, 90, '2026-03-02 15:30:00.000000', '2026-03-02 17:30:00.000000', 1, 1, 'booked', '2026-03-01 12:00:00.000000', 1,
    NULL, NULL, NULL, NULL, NULL, false, 1);
