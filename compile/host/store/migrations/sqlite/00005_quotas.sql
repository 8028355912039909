-- +goose Up
CREATE INDEX access_by_tablet ON access (tablet);
CREATE INDEX result_by_tablet ON result (tablet, typed);
CREATE INDEX photo_by_tablet ON photo (tablet, length(data));
