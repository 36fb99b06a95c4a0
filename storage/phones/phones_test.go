package phones

import "testing"

func TestMessages(t *testing.T) {
	for _, phone := range []int64{0, 1, 2, 5000} {
		for _, number := range []int64{1, 17, 1 << 31, 1_800_000_000_000, most - 1} {
			message, ok := Message(phone, number)
			if !ok || Of(message) != phone || OnPhone(message) != number {
				t.Errorf("message %d of phone %d is %d (%v), which is %d of phone %d", number, phone, message, ok, OnPhone(message), Of(message))
			}
			if phone == 0 && message != number {
				t.Errorf("the operator's own message %d is %d", number, message)
			}
		}
	}
	for _, bad := range [][2]int64{{1, 0}, {1, -3}, {1, most}, {-1, 1}} {
		if message, ok := Message(bad[0], bad[1]); ok {
			t.Errorf("message %d of phone %d is %d", bad[1], bad[0], message)
		}
	}
	if Of(-7) != 0 || OnPhone(-7) != -7 { // an app may number posts below zero
		t.Errorf("post -7 is %d of phone %d", OnPhone(-7), Of(-7))
	}
}
