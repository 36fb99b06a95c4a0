package block

import (
	"encoding/binary"
	"hash/crc32"
	"slices"

	"github.com/golang/snappy"
)

// format is the value of a run.
func (b *Bucket) format(r *run) []byte {
	if b.shape == Single && r.entries[0].len() < worthPacking {
		return Seal(b.name, r.at, r.entries[0].Value)
	}
	text, last := make([]byte, 0, r.size+8*len(r.entries)), r.at
	for _, e := range r.entries {
		same := 0
		for same < min(len(last), len(e.Key)) && last[same] == e.Key[same] {
			same++
		}
		text = binary.AppendUvarint(text, uint64(same))
		text = binary.AppendUvarint(text, uint64(len(e.Key)-same))
		text = binary.AppendUvarint(text, uint64(len(e.Value)))
		text = append(append(text, e.Key[same:]...), e.Value...)
		last = e.Key
	}
	return envelope(runVersion, b.name, r.at, snappy.Encode(nil, text))
}

// Seal is the envelope of a single entry.
func Seal(bucket string, key, value []byte) []byte {
	return envelope(singleVersion, bucket, key, value)
}

func envelope(version byte, bucket string, key, payload []byte) []byte {
	data := make([]byte, 0, envelopeHead+len(payload))
	data = append(data, version)
	data = binary.BigEndian.AppendUint32(data, checksum(bucket, key, payload))
	return append(data, payload...)
}

func checksum(bucket string, key, payload []byte) uint32 {
	sum := crc32.Checksum(append([]byte(bucket), 0), castagnoli)
	return crc32.Update(crc32.Update(sum, castagnoli, key), castagnoli, payload)
}

// Check compares a value of a bucket with its checksum.
func Check(bucket string, key, data []byte) error {
	switch {
	case len(data) < envelopeHead:
		return damaged("is cut short", bucket, key)
	case data[0] != singleVersion && data[0] != runVersion:
		return damaged("has the unknown version %d", bucket, key, data[0])
	case binary.BigEndian.Uint32(data[1:]) != checksum(bucket, key, data[envelopeHead:]):
		return damaged("does not match its checksum", bucket, key)
	}
	return nil
}

// Read are the entries of a value of a bucket, which may share memory with it.
func Read(bucket string, key, data []byte) (entries []Entry, err error) {
	if err := Check(bucket, key, data); err != nil {
		return nil, err
	}
	payload := data[envelopeHead:]
	if data[0] == singleVersion {
		return []Entry{{key, payload}}, nil
	}
	text, err := unpack(payload)
	keys := make([]byte, 0, len(text)) // of all entries, in one piece
	for last := key; err == nil && len(text) > 0; {
		var e Entry
		if e, text, err = next(last, text, &keys); err == nil {
			entries, last = append(entries, e), e.Key
		}
	}
	if err != nil {
		return nil, damaged("can't be unpacked: %v", bucket, key, err)
	}
	return entries, nil
}

// unpack is snappy's decoding, of what can be as long as it says: room is made before
// the first byte is looked at.
func unpack(payload []byte) ([]byte, error) {
	n, err := snappy.DecodedLen(payload)
	if err == nil && n > mostUnpacked*len(payload) {
		err = errTooLong
	}
	if err != nil {
		return nil, err
	}
	return snappy.Decode(nil, payload)
}

// next takes an entry off a text; its key is appended to keys.
func next(last, text []byte, keys *[]byte) (e Entry, rest []byte, err error) {
	var lens [3]uint64 // of what the key shares, of its rest, of the value
	for i := range lens {
		n := 0
		if lens[i], n = binary.Uvarint(text); n <= 0 || lens[i] > uint64(len(last)+len(text)) {
			return e, nil, errNoLength
		}
		text = text[n:]
	}
	if lens[0] > uint64(len(last)) || lens[1]+lens[2] > uint64(len(text)) {
		return e, nil, errCut
	}
	start := len(*keys)
	*keys = append(append(*keys, last[:lens[0]]...), text[:lens[1]]...)
	e.Key = slices.Clip((*keys)[start:])
	e.Value = text[lens[1] : lens[1]+lens[2] : lens[1]+lens[2]]
	return e, text[lens[1]+lens[2]:], nil
}
