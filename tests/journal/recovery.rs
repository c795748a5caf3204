//! Recovery and verifying: cut at every byte, flipped at every bit, any bytes at all.

use std::path::Path;

use loomwalk::job::{Comparison, DamageKind, Head, Held, PrintedHead, recover};
use loomwalk::walk::Moment;
use proptest::prelude::*;
use serde::Serialize;

use super::{Event, at, begun, events, holder, journal, place};
use crate::support::failing_disk::FailingDisk;

fn as_printed(head: Head) -> PrintedHead {
    head.printed().parse().expect("a printed head")
}

fn digits(head: Head) -> PrintedHead {
    head.hash.to_string().parse().expect("a printed head")
}

fn newlines(bytes: &[u8]) -> usize {
    bytes.split(|byte| *byte == b'\n').count() - 1
}

#[test]
fn what_was_written_is_read_back_with_its_times() {
    let (bytes, all) = journal(4);
    let found = recover::<Event>(&bytes);
    assert_eq!(events(&found), all);
    let times: Vec<Moment> = found.records.iter().map(|record| record.at).collect();
    assert_eq!(times, (0..4).map(at).collect::<Vec<_>>());
    assert!(found.verdict().is_whole());
    assert_eq!(found.verdict().head(), found.head());
}

#[test]
fn every_cut_leaves_the_whole_events_before_it() {
    let (bytes, all) = journal(4);
    let whole = recover::<Event>(&bytes);
    for cut in 0..bytes.len() {
        let found = recover::<Event>(&bytes[..cut]);
        let lines = newlines(&bytes[..cut]);
        assert_eq!(events(&found), all[..lines], "cut at {cut}");
        assert!(found.damage.is_empty(), "cut at {cut}");
        let torn = found.torn.map_or(0, |torn| torn.bytes);
        assert_eq!(found.whole_bytes() + torn, cut as u64);
        assert_eq!(torn == 0, cut == 0 || bytes[cut - 1] == b'\n', "cut at {cut}");
        let verdict = found.verdict();
        assert_eq!(verdict.is_whole(), torn == 0 && lines > 0);
        let missing = 4 - lines as u64;
        let told = verdict.compare(&as_printed(whole.head()));
        assert_eq!(told, Comparison::Cut { missing }, "cut at {cut}");
        assert_eq!(verdict.compare(&digits(whole.head())), Comparison::Absent);
    }
}

#[test]
fn every_flipped_bit_is_told_and_nothing_is_invented() {
    let (bytes, all) = journal(4);
    for bit in 0..bytes.len() * 8 {
        let mut flipped = bytes.clone();
        flipped[bit / 8] ^= 1 << (bit % 8);
        let found = recover::<Event>(&flipped);
        assert!(!found.verdict().is_whole(), "bit {bit} flipped unseen");
        let line = newlines(&bytes[..bit / 8]);
        assert_eq!(events(&found), all[..line], "bit {bit}");
        let start = bytes[..bit / 8].iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1) as u64;
        let told = found.damage.first().map(|damage| damage.offset).or(found.torn.map(|torn| torn.offset));
        assert_eq!(told, Some(start), "bit {bit} told at the wrong place");
    }
}

#[test]
fn damage_says_where_and_how_much() {
    let (bytes, all) = journal(4);
    let lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    let without_second = [lines[0], lines[2], lines[3]].concat();
    let found = recover::<Event>(&without_second);
    assert_eq!(events(&found), all[..1]);
    let damage = &found.damage[..];
    assert_eq!(damage.len(), 1, "{damage:?}");
    assert_eq!((damage[0].line, damage[0].offset), (2, lines[0].len() as u64));
    assert_eq!(damage[0].bytes, lines[2].len() as u64);
    assert_eq!(damage[0].kind, DamageKind::DoesNotFollow { claimed: 3 });
    assert_eq!(found.stranded, 1);

    let twice = [lines[0], lines[1], lines[1], lines[2], lines[3]].concat();
    let found = recover::<Event>(&twice);
    assert_eq!(events(&found), all[..2]);
    assert_eq!(found.damage[0].kind, DamageKind::DoesNotFollow { claimed: 2 });
    assert_eq!(found.stranded, 2, "what follows the double stands on its claim");

    let altered = String::from_utf8(bytes.clone()).expect("text").replace("\"s2\"", "\"s3\"");
    let found = recover::<Event>(altered.as_bytes());
    assert_eq!((found.damage.len(), &found.damage[0].kind), (1, &DamageKind::Altered));
    assert_eq!((found.damage[0].line, found.stranded), (3, 1));
}

#[test]
fn an_event_of_a_newer_program_is_told_as_such() {
    #[derive(Serialize)]
    enum Newer {
        Flew { metres: u32 },
    }
    let disk = FailingDisk::with_folders(&["/jobs"]);
    let held = Held::new_job(&disk, &place(Path::new("/jobs")), &holder(1)).expect("room");
    drop(held.begin(at(0), &Newer::Flew { metres: 3 }).expect("room"));
    let found = recover::<Event>(&disk.bytes("/jobs/0318.job.jsonl").expect("written"));
    assert!(matches!(&found.damage[0].kind, DamageKind::Unknown { reason } if reason.contains("Flew")));
}

#[test]
fn a_chain_made_again_differs_from_the_printed_head() {
    let (bytes, _) = journal(4);
    let printed = recover::<Event>(&bytes).head();
    let (again, _) = journal(3);
    let forged = recover::<Event>(&again).verdict();
    assert!(forged.is_whole());
    assert_eq!(forged.compare(&as_printed(printed)), Comparison::Cut { missing: 1 });
    let same = recover::<Event>(&bytes).verdict();
    assert_eq!(same.compare(&digits(printed)), Comparison::Same);
    assert_eq!(same.compare(&as_printed(printed)), Comparison::Same);
    let short = printed.hash.to_string()[..16].to_uppercase();
    assert_eq!(same.compare(&short.parse().expect("sixteen digits")), Comparison::Same);
    let miscounted = Head { events: 3, hash: printed.hash };
    assert_eq!(same.compare(&as_printed(miscounted)), Comparison::Differs);
    assert_eq!(same.compare(&as_printed(forged.head())), Comparison::GoesOn { more: 1 });
    let other = at(9);
    let disk = FailingDisk::with_folders(&["/jobs"]);
    let held = Held::new_job(&disk, &place(Path::new("/jobs")), &holder(1)).expect("room");
    drop(held.begin(other, &begun()).expect("room"));
    let chained_again = recover::<Event>(&disk.bytes("/jobs/0318.job.jsonl").expect("written")).verdict();
    assert_eq!(chained_again.compare(&digits(printed)), Comparison::Absent);
    assert_eq!(
        chained_again.compare(&as_printed(Head { events: 1, hash: printed.hash })),
        Comparison::Differs
    );
}

fn journal_pieces() -> impl Strategy<Value = Vec<u8>> {
    let (bytes, _) = journal(4);
    let lines: Vec<Vec<u8>> = bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
    let line = prop::sample::select(lines);
    let noise = prop::collection::vec(any::<u8>(), 0..40);
    let form =
        "\\{\"seq\":[0-9]{0,20},\"at\":\"[ -~]{0,9}\",\"ms\":[0-9]{1,3},\"prev\":\"[0-9a-f]{60,66}\"\n";
    let piece = prop_oneof![4 => line, 1 => noise, 1 => form.prop_map(String::into_bytes)];
    prop::collection::vec(piece, 0..8).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_recovered_without_invention(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let found = recover::<Event>(&bytes);
        prop_assert!(found.records.is_empty());
        prop_assert!(!found.verdict().is_whole());
    }

    #[test]
    fn any_pieces_give_the_beginning_of_the_job_and_account_for_every_byte(bytes in journal_pieces()) {
        let (_, all) = journal(4);
        let found = recover::<Event>(&bytes);
        prop_assert!(all.starts_with(&events(&found)));
        let lines = newlines(&bytes);
        let told = found.records.len() + found.damage.len() + usize::try_from(found.stranded).expect("few");
        let is_unended = found.damage.iter().any(|damage| damage.kind == DamageKind::NoNewline);
        prop_assert_eq!(told, lines + usize::from(is_unended));
        let torn = found.torn.map_or(0, |torn| torn.bytes);
        prop_assert_eq!(found.whole_bytes() + torn, bytes.len() as u64);
        for damage in &found.damage {
            let end = usize::try_from(damage.offset + damage.bytes).expect("short");
            prop_assert_eq!(bytes[end - 1] == b'\n', damage.kind != DamageKind::NoNewline);
        }
    }
}

#[test]
fn what_is_no_head_is_refused() {
    for text in ["", "37:", "9f3a", "37:9f3a", "x:0123456789abcdef", "0123456789abcdeg", &"0".repeat(65)] {
        assert!(text.parse::<PrintedHead>().is_err(), "{text}");
    }
}

#[test]
fn a_newline_altered_is_no_torn_tail() {
    let (mut bytes, all) = journal(4);
    *bytes.last_mut().expect("a newline") = b'J';
    let found = recover::<Event>(&bytes);
    assert_eq!(events(&found), all[..3]);
    assert_eq!(found.torn, None, "going on would cut an event that was acknowledged");
    assert_eq!((found.damage[0].line, &found.damage[0].kind), (4, &DamageKind::NoNewline));
}
