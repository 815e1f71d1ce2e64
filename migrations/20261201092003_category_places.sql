-- Organisers set sixty categories at most; the parts of large ones come behind those.

alter table competition_categories drop constraint competition_categories_place_range,
    add constraint competition_categories_place_range check (place between 1 and 999);
