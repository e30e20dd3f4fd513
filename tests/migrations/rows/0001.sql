INSERT INTO accounts (id, email, name, password_hash, active, created_at, version)
VALUES (1, 'olive@example.org', 'Olive Marsh', 'hash', true, '2026-03-02 12:00:00.000000', 1),
       (2, 'lena@example.org', 'Lena Wren', NULL, false, '2026-03-02 12:00:00.000000', 7);

INSERT INTO account_roles (account_id, role)
VALUES (1, 'owner'),
       (1, 'desk'),
       (2, 'student');

INSERT INTO one_time_links (id, account_id, purpose, nonce, made_at, expires_at, used_at, made_by)
VALUES (1, 2, 'invitation', 'n1', '2026-03-02 12:00:00.000000', '2026-03-02 15:30:00.000000', NULL, 1);

INSERT INTO sign_ins (id, account_id, token_hash, began_at, expires_at, ended_at, origin)
VALUES (1, 1, 't1', '2026-03-02 12:00:00.000000', '2026-03-02 15:30:00.000000', NULL, '192.0.2.7');

INSERT INTO hand_over_codes (account_id, code_hash, set_at)
VALUES (1, 'hash', '2026-03-02 12:00:00.000000');

INSERT INTO code_tries (id, account_id, sign_in_id, at)
VALUES (1, 1, 1, '2026-03-02 12:00:00.000000');

INSERT INTO tablet_turns (id, sign_in_id, account_id, began_at)
VALUES (1, 1, 1, '2026-03-02 12:00:00.000000');
