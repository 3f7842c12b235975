//! Reads Rust text as far as the map needs it: names, marks and strings with their lines, comments left out.

/// One word of Rust text. Numbers count as names; of a string only what stands between its quotes is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Word {
    Name(String),
    Mark(char),
    Text(String),
}

/// A word and the line, from 1, on which it begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Token {
    pub line: usize,
    pub word: Word,
}

/// The words of a file. Comments, doc comments included, and lifetimes are left out.
pub fn tokens(text: &str) -> Vec<Token> {
    let mut reader = Reader { chars: text.chars().collect(), at: 0, line: 1 };
    let mut found = Vec::new();
    while let Some(c) = reader.peek(0) {
        let line = reader.line;
        if let Some(word) = reader.word(c) {
            found.push(Token { line, word });
        }
    }
    found
}

struct Reader {
    chars: Vec<char>,
    at: usize,
    line: usize,
}

impl Reader {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    fn take(&mut self) -> Option<char> {
        let c = self.peek(0)?;
        self.at += 1;
        if c == '\n' {
            self.line += 1;
        }
        Some(c)
    }

    /// Takes at least one character; none comes back where it was space, a comment or a lifetime.
    fn word(&mut self, c: char) -> Option<Word> {
        match c {
            '/' if self.peek(1) == Some('/') => {
                while self.peek(0).is_some_and(|c| c != '\n') {
                    self.take();
                }
                None
            }
            '/' if self.peek(1) == Some('*') => {
                self.block_comment();
                None
            }
            '"' => Some(self.text()),
            '\'' => self.character_or_lifetime(),
            'r' | 'b' | 'c' if self.string_prefix().is_some() => {
                let (prefix, hashes, raw) = self.string_prefix()?;
                (0..prefix).for_each(|_| _ = self.take());
                Some(if raw { self.raw_text(hashes) } else { self.text() })
            }
            'r' if self.peek(1) == Some('#') => {
                (0..2).for_each(|_| _ = self.take());
                Some(self.name())
            }
            c if is_name(c) => Some(self.name()),
            c => {
                self.take();
                (!c.is_whitespace()).then_some(Word::Mark(c))
            }
        }
    }

    /// Where a string with a prefix (`r"`, `br##"`, `b"`, `c"`) begins here: characters before its quote, hashes, rawness.
    fn string_prefix(&self) -> Option<(usize, usize, bool)> {
        let letters = (0..2).take_while(|&n| matches!(self.peek(n), Some('r' | 'b' | 'c'))).count();
        let raw = (0..letters).any(|n| self.peek(n) == Some('r'));
        let hashes = (letters..).take_while(|&n| raw && self.peek(n) == Some('#')).count();
        (self.peek(letters + hashes) == Some('"')).then_some((letters + hashes, hashes, raw))
    }

    fn name(&mut self) -> Word {
        let mut name = String::new();
        while let Some(c) = self.peek(0).filter(|&c| is_name(c)) {
            name.push(c);
            self.take();
        }
        Word::Name(name)
    }

    fn text(&mut self) -> Word {
        self.take();
        let mut text = String::new();
        while let Some(c) = self.take().filter(|&c| c != '"') {
            text.push(c);
            if c == '\\' {
                text.extend(self.take());
            }
        }
        Word::Text(text)
    }

    fn raw_text(&mut self, hashes: usize) -> Word {
        self.take();
        let mut text = String::new();
        while let Some(c) = self.take() {
            if c == '"' && (0..hashes).all(|n| self.peek(n) == Some('#')) {
                (0..hashes).for_each(|_| _ = self.take());
                break;
            }
            text.push(c);
        }
        Word::Text(text)
    }

    fn character_or_lifetime(&mut self) -> Option<Word> {
        self.take();
        if self.peek(0) == Some('\\') {
            (0..2).for_each(|_| _ = self.take());
            while self.take().is_some_and(|c| c != '\'') {}
        } else if self.peek(1) == Some('\'') {
            (0..2).for_each(|_| _ = self.take());
        } else {
            self.name();
        }
        None
    }

    fn block_comment(&mut self) {
        let mut depth = 0_usize;
        loop {
            match (self.peek(0), self.peek(1)) {
                (Some('/'), Some('*')) => {
                    depth += 1;
                    self.take();
                }
                (Some('*'), Some('/')) => {
                    depth -= 1;
                    self.take();
                }
                (None, _) => return,
                _ => {}
            }
            self.take();
            if depth == 0 {
                return;
            }
        }
    }
}

fn is_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

#[test]
fn comments_lifetimes_and_characters_are_no_words_and_strings_are_one() {
    let text = r##"
        // crate::one
        /* crate::two /* nested */ "still" */
        /// [`crate::three`]
        fn f<'a>(x: &'a str) -> char { let _ = ("crate::four \" on", r#"crate::"five""#, b"six", '"', '\'', '\u{41}'); '{' }
        r#type
    "##;
    let words: Vec<Word> = tokens(text).into_iter().map(|t| t.word).filter(|w| !matches!(w, Word::Mark(_))).collect();
    let name = |n: &str| Word::Name(n.into());
    let string = |s: &str| Word::Text(s.into());
    assert_eq!(
        words,
        [
            name("fn"),
            name("f"),
            name("x"),
            name("str"),
            name("char"),
            name("let"),
            name("_"),
            string("crate::four \\\" on"),
            string("crate::\"five\""),
            string("six"),
            name("type"),
        ]
    );
    assert_eq!(tokens("a\n\"x\ny\"\nb").iter().map(|t| t.line).collect::<Vec<_>>(), [1, 2, 4]);
}
