// Reads every ADIF file that stands in the conversations (txtar archives) with two
// readers that are not ours and prints what each makes of it: an object a line.
//
//	node read.js DIRECTORY-OF-CONVERSATIONS
//
// Both readers must be installed where it runs: see README.md.
'use strict';
const fs = require('fs');
const path = require('path');
const { createRequire } = require('module');
const here = createRequire(path.join(process.cwd(), 'x.js'));
const { ADIF } = here('tcadif');
const { AdifParser } = here('adif-parser-ts');

// files yields the documents that the answers of a conversation show. The text is
// taken as Latin-1, so that one character is one byte.
function* files(archive) {
	const text = fs.readFileSync(archive, 'latin1');
	for (const part of text.split(/^-- /m).slice(1)) {
		if (!part.startsWith('want --')) continue;
		const docs = part.split(/^==> (.*?) <==\n/m);
		for (let i = 1; i + 1 < docs.length; i += 2) {
			if (docs[i].endsWith('.adi')) yield [path.basename(docs[i]), docs[i + 1]];
		}
	}
}

function strictly(text) {
	return ADIF.parse(text).toObject().qsos;
}

function loosely(text) {
	return AdifParser.parseAdi(text).records;
}

function attempt(reader, text) {
	try {
		return { records: reader(text) };
	} catch (err) {
		return { error: err.message, field: err.field, value: err.value };
	}
}

const dir = process.argv[2];
for (const name of fs.readdirSync(dir).sort()) {
	if (!name.endsWith('.txtar')) continue;
	for (const [file, text] of files(path.join(dir, name))) {
		for (const [by, reader] of [['tcadif', strictly], ['adif-parser-ts', loosely]]) {
			console.log(JSON.stringify({ conversation: name, file, by, ...attempt(reader, text) }));
		}
	}
}
