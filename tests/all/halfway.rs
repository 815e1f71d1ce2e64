//! The work of a form stops after each of its statements in turn: all of it is done, or none, and the text comes back.

use mustwright::members::links::store as links;
use mustwright::web::form::is_secret;
use mustwright::web::grant::Grant;
use sqlx::{AssertSqlSafe, Executor, PgConnection};

use crate::recipes::saved;
use crate::support::{Browser, Club, PASSWORD, a_keeper, a_member};

/// A fault of ours, a full disk, a deadlock: SQLSTATEs.
const OURS: &str = "P0001";
const FULL: &str = "53100";
const DEADLOCK: &str = "40P01";
const NEW: &str = "four geese tumble past the weir";

/// What coming and going changes before a form is looked at.
const OF_COMING: &str = "'sessions', 'sign_in_tries'";

/// Lets statements fail that write, after they did, whoever sends them, and notes each row that is written. Sequences
/// count on when all else is undone.
async fn lets_fail(club: &Club) -> PgConnection {
    let mut owner = club.database.owner().await;
    owner
        .execute(
            "create sequence fail_step;
             create table fail_at (first bigint not null, last bigint not null, code text not null);
             insert into fail_at values (0, 0, 'P0001');
             create table written (name text not null);
             create function note() returns trigger language plpgsql security definer as $$
             begin
                 insert into written values (tg_table_name);
                 return null;
             end $$;
             create function fail() returns trigger language plpgsql security definer as $$
             declare
                 wanted record;
                 step bigint;
             begin
                 select * into wanted from fail_at;
                 if wanted.first = 0 then
                     return null;
                 end if;
                 step := nextval('fail_step');
                 if step between wanted.first and wanted.last then
                     raise exception 'on purpose' using errcode = wanted.code;
                 end if;
                 return null;
             end $$;
             do $$
             declare name text;
             begin
                 for name in select tablename from pg_tables where schemaname = 'public' and tablename not in ('fail_at', 'written') loop
                     execute format('create trigger zz_fail after insert or update or delete on %I
                                     for each statement execute function fail()', name);
                     execute format('create trigger zz_note after insert or update or delete on %I
                                     for each row execute function note()', name);
                 end loop;
             end $$;",
        )
        .await
        .expect("the triggers");
    owner
}

/// From now on the statements from `first` to `last` fail; none, if `first` is 0.
async fn fails(owner: &mut PgConnection, first: i64, last: i64, code: &str) {
    let sql = format!(
        "update fail_at set first = {first}, last = {last}, code = '{code}';
         select setval('fail_step', 1, false);"
    );
    owner.execute(AssertSqlSafe(sql)).await.expect("it is set");
}

/// How many statements wrote since.
async fn steps(owner: &mut PgConnection) -> i64 {
    sqlx::query_scalar("select case when is_called then last_value else 0 end from fail_step")
        .fetch_one(owner)
        .await
        .expect("a number")
}

/// How many rows were written for good, but for those of coming in.
async fn kept(owner: &mut PgConnection) -> i64 {
    let sql = format!("select count(*) from written where name not in ({OF_COMING})");
    sqlx::query_scalar(AssertSqlSafe(sql))
        .fetch_one(owner)
        .await
        .expect("a number")
}

/// A form that is filled in, and where it goes.
struct Form<'a> {
    browser: &'a Browser,
    path: String,
    fields: Vec<(String, String)>,
}

impl<'a> Form<'a> {
    /// The form of a page that has this button.
    async fn on(
        browser: &'a Browser,
        page: &str,
        button: &str,
        labelled: &[(&str, &str)],
    ) -> Form<'a> {
        let (path, fields) = browser.get(page).await.filled(button, labelled);
        Form {
            browser,
            path,
            fields,
        }
    }

    /// A form by the names of its fields.
    fn to(browser: &'a Browser, path: &str, fields: &[(&str, &str)]) -> Form<'a> {
        let owned = |(name, text): &(&str, &str)| ((*name).to_owned(), (*text).to_owned());
        Form {
            browser,
            path: path.to_owned(),
            fields: fields.iter().map(owned).collect(),
        }
    }

    async fn sent(&self) -> crate::support::Page {
        let fields = self.fields.iter();
        let fields: Vec<(&str, &str)> = fields.map(|(n, t)| (n.as_str(), t.as_str())).collect();
        self.browser.post(&self.path, &fields).await
    }
}

/// Sends the form with a fault after the first statement, after the second, and so on until it goes through. Tells
/// where it then leads.
async fn stops_everywhere(owner: &mut PgConnection, form: Form<'_>) -> String {
    let before = kept(owner).await;
    for step in 1.. {
        fails(owner, step, step, OURS).await;
        let page = form.sent().await;
        fails(owner, 0, 0, OURS).await;
        // Tries of a password are counted before the work and taken back with it.
        let forget = owner.execute("delete from sign_in_tries").await;
        forget.expect("they are forgotten");
        let told = format!("{} at {step}: {} {}", form.path, page.status, page.text);
        let after = kept(owner).await;
        if page.status == 303 {
            assert!(step > 1, "nothing was written: {told}");
            assert_ne!(after, before, "{told}");
            return page.location().unwrap_or_default().to_owned();
        }
        assert_eq!(page.status, 500, "{told}");
        assert_eq!(after, before, "{told}");
        // Passwords are never written back.
        let has_text = form.fields.iter().any(|(name, _)| !is_secret(name));
        assert_eq!(page.has_button("Send again"), has_text, "{told}");
    }
    unreachable!("a form that never goes through");
}

#[tokio::test]
async fn whatever_stops_after_any_statement_is_not_begun() {
    let club = Club::open().await;
    let mut conn = club.pool().acquire().await.expect("a connection");
    let link = links::make_link(&mut conn, None).await.expect("a link");
    drop(conn);
    let mut owner = lets_fail(&club).await;
    let stranger = club.browser();
    let mine = [("new_password", PASSWORD), ("new_password_again", PASSWORD)];
    let wren = [&[("name", "Wren")][..], &mine[..]].concat();
    let form = Form::to(&stranger, &format!("/set-up/{link}"), &wren);
    stops_everywhere(&mut owner, form).await;

    let ada = a_member().of(&club).await;
    let ada = club.browser_of(&ada).await;
    let form = Form::on(
        &ada,
        "/recipes/new",
        "Save as revision 1",
        &[("Name", "Whitsun")],
    )
    .await;
    let sheet = stops_everywhere(&mut owner, form).await;
    let sheet = sheet.split('?').next().expect("a path");
    let edit = format!("{sheet}/edit");
    let form = Form::on(
        &ada,
        &edit,
        "Save as revision 2",
        &[("Name", "Whitsun, dry")],
    )
    .await;
    stops_everywhere(&mut owner, form).await;
    let club_sees = [("visibility", "club")];
    let form = Form::to(&ada, &format!("{sheet}/share"), &club_sees);
    stops_everywhere(&mut owner, form).await;
    let begin = ada.get(sheet).await.link("Start a batch").expect("a way");
    let form = Form::on(&ada, &begin, "Start the batch", &[]).await;
    let batch = stops_everywhere(&mut owner, form).await;
    let log = format!("{}/log", batch.split('?').next().expect("a path"));
    let form = Form::on(&ada, &log, "Write it down", &[("Gravity", "1088")]).await;
    stops_everywhere(&mut owner, form).await;

    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    let words = [("Your words", "Too warm")];
    let form = Form::on(&bo, sheet, "Post the comment", &words).await;
    stops_everywhere(&mut owner, form).await;
    let stars = [("4: very good", ""), ("I have only read it", "")];
    let form = Form::on(&bo, sheet, "Rate revision 2", &stars).await;
    stops_everywhere(&mut owner, form).await;
    let called = [
        ("What it is called", "Long tasting"),
        ("Day", "2030-07-12"),
        ("Time", "19:30"),
    ];
    let form = Form::on(&bo, "/club/meetings/new", "Call it", &called).await;
    stops_everywhere(&mut owner, form).await;
    let old = [("password", PASSWORD)];
    let new = [("new_password", NEW), ("new_password_again", NEW)];
    let form = Form::to(&bo, "/settings/password", &[&old[..], &new[..]].concat());
    stops_everywhere(&mut owner, form).await;
}

#[tokio::test]
async fn what_a_deadlock_undid_is_tried_again_three_times() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let ada = club.browser_of(&ada).await;
    let mut owner = lets_fail(&club).await;
    let form = Form::on(
        &ada,
        "/recipes/new",
        "Save as revision 1",
        &[("Name", "Whitsun")],
    )
    .await;
    let before = kept(&mut owner).await;

    // Without end: the first time and three more, each as far as its first statement; then it is told.
    fails(&mut owner, 1, i64::MAX, DEADLOCK).await;
    let page = form.sent().await;
    assert_eq!(steps(&mut owner).await, 4);
    assert_eq!(page.status, 503);
    assert_eq!(page.hidden("title").as_deref(), Some("Whitsun"));
    assert_eq!(kept(&mut owner).await, before);

    // Three times, and then no more.
    fails(&mut owner, 1, 3, DEADLOCK).await;
    assert_eq!(form.sent().await.status, 303);
    fails(&mut owner, 0, 0, OURS).await;
    assert_eq!(form.sent().await.status, 303, "the same form again");
    let recipes: i64 = sqlx::query_scalar("select count(*) from recipes")
        .fetch_one(club.pool())
        .await
        .expect("a number");
    assert_eq!(recipes, 1);
}

#[tokio::test]
async fn a_full_disk_is_told_keeps_the_text_and_hurts_no_reader() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let token = club.token_of(&ada, Grant::Write).await;
    let ada = club.browser_of(&ada).await;
    let sheet = saved(&ada, &[("Name", "There before")]).await;
    let mut owner = lets_fail(&club).await;
    let form = Form::on(
        &ada,
        "/recipes/new",
        "Save as revision 1",
        &[("Name", "Whitsun")],
    )
    .await;
    fails(&mut owner, 1, i64::MAX, FULL).await;
    let page = form.sent().await;
    assert_eq!(page.status, 503);
    assert!(!page.header("retry-after").is_empty());
    assert_eq!(page.hidden("title").as_deref(), Some("Whitsun"));
    assert_eq!(ada.get(&sheet).await.status, 200, "reading goes on");
    let asked = ada.request(reqwest::Method::GET, "/api/v1/recipes");
    let told = ada.send(asked.bearer_auth(&token)).await;
    assert!([200, 503].contains(&told.status), "{}", told.text);
    fails(&mut owner, 0, 0, OURS).await;
    assert_eq!(ada.submit(&page, "Send again", &[]).await.status, 303);
}

#[tokio::test]
async fn a_keepers_work_stops_whole_too() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    a_member().named("Bo").of(&club).await;
    let wren = club.browser_of(&wren).await;
    let mut owner = lets_fail(&club).await;
    let draft = [("What it is called", "Autumn meads")];
    let form = Form::on(&wren, "/competitions/new", "Make the draft", &draft).await;
    stops_everywhere(&mut owner, form).await;
}
