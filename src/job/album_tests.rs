//! The archive against the published description of ZIP files, field by field, and
//! against the check value of its checksum. That other programs read it is checked
//! with Python's `zipfile` in `tests/e2e/photos.spec.mjs`.

use super::*;
use crate::engine::quantity::Instant;

fn id(n: u8) -> Id {
    Id::new(Instant(1_700_000_000_000 + i64::from(n)), [n; 10])
}

fn named(n: u8) -> String {
    format!("Finial-before-2026-03-02-{}.jpg", id(n))
}

/// The file with these pictures.
fn file(pictures: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut album = Album::default();
    let mut file = Vec::new();
    for (name, picture) in pictures {
        file.extend(album.before(name, picture).unwrap());
        file.extend(picture);
    }
    file.extend(album.end());
    file
}

fn two() -> Vec<u8> {
    file(&[(named(1), b"first picture".to_vec()), (named(2), vec![0xFF; 300])])
}

fn length(file: &[u8]) -> u32 {
    u32::try_from(file.len()).unwrap()
}

#[test]
fn the_checksum_has_its_published_check_value() {
    // The check value of CRC-32 (ISO-HDLC) over the digits: 0xCBF43926, as in
    // R. Williams, "A Painless Guide to CRC Error Detection Algorithms", 1993.
    assert_eq!(checksum(b"123456789"), 0xCBF4_3926);
    assert_eq!(checksum(b""), 0);
}

#[test]
fn headers_are_laid_out_as_the_format_says() {
    // APPNOTE.TXT 6.3.10, 4.3.7, 4.3.12 and 4.3.16: fields with their lengths.
    let name = named(1);
    let picture = b"first picture";
    let bytes = file(&[(name.clone(), picture.to_vec())]);
    let local = 30 + name.len();
    assert_eq!(&bytes[..4], b"PK\x03\x04");
    assert_eq!(&bytes[4..10], &[20, 0, 0, 8, 0, 0]);
    assert_eq!(bytes[14..18], checksum(picture).to_le_bytes());
    assert_eq!(bytes[18..22], [13, 0, 0, 0]);
    assert_eq!(bytes[22..26], [13, 0, 0, 0]);
    assert_eq!(usize::from(bytes[26]), name.len());
    assert_eq!(&bytes[30..local], name.as_bytes());
    assert_eq!(&bytes[local..local + 13], picture);
    let central = &bytes[local + 13..];
    assert_eq!(&central[..4], b"PK\x01\x02");
    assert_eq!(&central[46..46 + name.len()], name.as_bytes());
    let end = &central[46 + name.len()..];
    assert_eq!(end.len(), 22);
    assert_eq!(&end[..4], b"PK\x05\x06");
    assert_eq!(end[10..12], [1, 0]);
    assert_eq!(end[16..20], (length(&bytes) - 22 - 46 - length(name.as_bytes())).to_le_bytes());
}

#[test]
fn every_picture_is_found_again_from_the_whole_file_or_its_tail() {
    let bytes = two();
    let entries = read(&bytes, length(&bytes)).unwrap();
    assert_eq!(entries.iter().map(|entry| entry.id).collect::<Vec<_>>(), [id(1), id(2)]);
    for entry in &entries {
        let picture = &bytes[entry.from as usize..entry.to as usize];
        assert_eq!(checksum(picture), entry.checksum);
    }
    assert_eq!(&bytes[entries[0].from as usize..entries[0].to as usize], b"first picture");
    let directory = entries[1].to as usize;
    assert_eq!(read(&bytes[directory..], length(&bytes)), Some(entries));
}

#[test]
fn a_file_without_photographs_and_strange_names_are_no_error() {
    let empty = file(&[]);
    assert_eq!(read(&empty, length(&empty)), Some(Vec::new()));
    let strange = file(&[("readme.txt".into(), b"hello".to_vec()), (named(3), vec![1])]);
    let found = read(&strange, length(&strange)).unwrap();
    assert_eq!(found.iter().map(|entry| entry.id).collect::<Vec<_>>(), [id(3)]);
}

#[test]
fn cut_and_damaged_files_are_refused_and_never_stop_the_app() {
    let bytes = two();
    for cut in 0..bytes.len() {
        assert_eq!(read(&bytes[..cut], length(&bytes[..cut])), None, "{cut}");
    }
    // Any one byte of the directory may be anything.
    let entries = read(&bytes, length(&bytes)).unwrap();
    for at in entries[1].to as usize..bytes.len() {
        for value in [0, 1, 0x7F, 0xFF] {
            let mut odd = bytes.clone();
            odd[at] = value;
            if let Some(found) = read(&odd, length(&odd)) {
                assert!(
                    found.iter().all(|entry| entry.from <= entry.to && entry.to < length(&odd))
                );
            }
        }
    }
}

#[test]
fn what_another_program_packed_anew_is_refused() {
    let mut bytes = two();
    let directory = read(&bytes, length(&bytes)).unwrap()[1].to as usize;
    bytes[directory + 10] = 8;
    assert_eq!(read(&bytes, length(&bytes)), None);
}

#[test]
fn names_are_fit_for_any_phone() {
    let state = State::default();
    assert_eq!(name(&state, id(1), "2026-03-02"), format!("shop-At-work-2026-03-02-{}.jpg", id(1)));
    assert_eq!(plain("Köpfe/left: \"no 2\""), "Köpfe-left---no-2-");
}
