-- Whether the workbench opens for a member as the whole form at once, or with five questions first.

alter table members add column whole_form boolean not null default false;
