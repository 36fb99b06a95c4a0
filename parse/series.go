package parse

import "strings"

// seriesTable is the table of international call sign series, Appendix 42 of
// the Radio Regulations (state of December 2024), written by administration:
// the short name we show, then its series by their first two characters, each
// alone or from-to. Half series stand in [halfSeries].
const seriesTable = `
Afghanistan: T6 YA
Albania: ZA
Algeria: 7R 7T-7Y
Andorra: C3
Angola: D2-D3
Antigua and Barbuda: V2
Argentina: AY-AZ L2-L9 LO-LW
Armenia: EK
Aruba: P4
Australia: AX VH-VN VZ
Austria: OE
Azerbaijan: 4J-4K
Bahamas: C6
Bahrain: A9
Bangladesh: S2-S3
Barbados: 8P
Belarus: EU-EW
Belgium: ON-OT
Belize: V3
Benin: TY
Bhutan: A5
Bolivia: CP
Bosnia and Herzegovina: E7
Botswana: 8O A2
Brazil: PP-PY ZV-ZZ
Brunei: V8
Bulgaria: LZ
Burkina Faso: XT
Burundi: 9U
Cabo Verde: D4
Cambodia: XU
Cameroon: TJ
Canada: CF-CK CY-CZ VA-VG VO VX-VY XJ-XO
Caribbean Netherlands, Curaçao, Sint Maarten: PJ
Central African Republic: TL
Chad: TT
Chile: 3G CA-CE XQ-XR
China: 3H-3U BA-BZ XS
Colombia: 5J-5K HJ-HK
Comoros: D6
Congo: TN
Cook Islands: E5
Costa Rica: TE TI
Croatia: 9A
Cuba: CL-CM CO T4
Cyprus: 5B C4 H2 P3
Czechia: OK-OL
Côte d'Ivoire: TU
DR Congo: 9O-9T
Denmark: 5P-5Q OU-OZ XP
Djibouti: J2
Dominica: J7
Dominican Republic: HI
Ecuador: HC-HD
Egypt: 6A-6B SU
El Salvador: HU YS
Equatorial Guinea: 3C
Eritrea: E3
Estonia: ES
Ethiopia: 9E-9F ET
Finland: OF-OJ
France: FA-FZ HW-HY TH TK TM TO-TQ TV-TX
Gabon: TR
Gambia: C5
Georgia: 4L
Germany: DA-DR Y2-Y9
Ghana: 9G
Greece: J4 SV-SZ
Grenada: J3
Guatemala: TD TG
Guinea: 3X
Guinea-Bissau: J5
Guyana: 8R
Haiti: 4V HH
Honduras: HQ-HR
Hong Kong: VR
Hungary: HA HG
Iceland: TF
India: 8T-8Y AT-AW VT-VW
Indonesia: 7A-7I 8A-8I JZ PK-PO YB-YH
International Civil Aviation Organization: 4Y
Iran: 9B-9D EP-EQ
Iraq: HN YI
Ireland: EI-EJ
Israel: 4X 4Z
Italy: IA-IZ
Jamaica: 6Y
Japan: 7J-7N 8J-8N JA-JS
Jordan: JY
Kazakhstan: UN-UQ
Kenya: 5Y-5Z
Kiribati: T3
Kuwait: 9K
Kyrgyzstan: EX
Laos: XW
Latvia: YL
Lebanon: OD
Lesotho: 7P
Liberia: 5L-5M 6Z A8 D5 EL
Libya: 5A
Lithuania: LY
Luxembourg: LX
Macao: XX
Madagascar: 5R-5S 6X
Malawi: 7Q
Malaysia: 9M 9W
Maldives: 8Q
Mali: TZ
Malta: 9H
Marshall Islands: V7
Mauritania: 5T
Mauritius: 3B
Mexico: 4A-4C 6D-6J XA-XI
Micronesia: V6
Moldova: ER
Monaco: 3A
Mongolia: JT-JV
Montenegro: 4O
Morocco: 5C-5G CN
Mozambique: C8-C9
Myanmar: XY-XZ
Namibia: V5
Nauru: C2
Nepal: 9N
Netherlands: PA-PI
New Zealand: ZK-ZM
Nicaragua: H6-H7 HT YN
Niger: 5U
Nigeria: 5N-5O
Niue: E6
North Korea: HM P5-P9
North Macedonia: Z3
Norway: 3Y JW-JX LA-LN
Oman: A4
Pakistan: 6P-6S AP-AS
Palau: T8
Palestine: E4
Panama: 3E-3F H3 H8-H9 HO-HP
Papua New Guinea: P2
Paraguay: ZP
Peru: 4T OA-OC
Philippines: 4D-4I DU-DZ
Poland: 3Z HF SN-SR
Portugal: CQ-CU
Qatar: A7
Romania: YO-YR
Russia: RA-RZ UA-UI
Rwanda: 9X
Saint Kitts and Nevis: V4
Saint Lucia: J6
Saint Vincent and the Grenadines: J8
Samoa: 5W
San Marino: T7
Sao Tome and Principe: S9
Saudi Arabia: 7Z 8Z HZ
Senegal: 6V-6W
Serbia: YT-YU
Seychelles: S7
Sierra Leone: 9L
Singapore: 9V S6
Slovakia: OM
Slovenia: S5
Solomon Islands: H4
Somalia: 6O T5
South Africa: S8 ZR-ZU
South Korea: 6K-6N D7-D9 DS-DT HL
South Sudan: Z8
Spain: AM-AO EA-EH
Sri Lanka: 4P-4S
Sudan: 6T-6U ST
Suriname: PZ
Sweden: 7S 8S SA-SM
Switzerland: HB HE
Syria: 6C YK
Tajikistan: EY
Tanzania: 5H-5I
Thailand: E2 HS
Timor-Leste: 4W
Togo: 5V
Tonga: A3
Trinidad and Tobago: 9Y-9Z
Tunisia: 3V TS
Turkmenistan: EZ
Tuvalu: T2
Türkiye: TA-TC YM
Uganda: 5X
Ukraine: EM-EO UR-UZ
United Arab Emirates: A6
United Kingdom: 2A-2Z GA-GZ MA-MZ VP-VQ VS ZB-ZJ ZN-ZO ZQ
United Nations: 4U
United States: AA-AL KA-KZ NA-NZ WA-WZ
Uruguay: CV-CX
Uzbekistan: UJ-UM
Vanuatu: YJ
Vatican: HV
Venezuela: 4M YV-YY
Viet Nam: 3W XV
World Meteorological Organization: C7
Yemen: 7O
Zambia: 9I-9J
Zimbabwe: Z2
`

// halfSeries are the series that two administrations share by their third
// character: pair, first and last of them, administration.
var halfSeries = [...]struct{ pair, from, to, name string }{
	{"3D", "A", "M", "Eswatini"},
	{"3D", "N", "Z", "Fiji"},
	{"SS", "A", "M", "Egypt"},
	{"SS", "N", "Z", "Sudan"},
}

// seriesByPair gives the administration for each pair of first characters.
var seriesByPair = readSeries()

// pairIndex numbers a pair of characters; both must be letters or digits.
func pairIndex(a, b byte) int {
	number := func(c byte) int {
		if isDigit(c) {
			return int(c - '0')
		}
		return int(c-'A') + 10
	}
	return number(a)*36 + number(b)
}

func readSeries() (names [36 * 36]string) {
	for line := range strings.Lines(strings.TrimSpace(seriesTable)) {
		name, all, _ := strings.Cut(strings.TrimSpace(line), ": ")
		for run := range strings.FieldsSeq(all) {
			last := run[len(run)-1]
			for c := run[1]; c <= last; c++ {
				names[pairIndex(run[0], c)] = name
			}
		}
	}
	return names
}

// allocated reports whether two characters are a full series.
func allocated(a, b byte) bool { return seriesByPair[pairIndex(a, b)] != "" }

// series returns the administration to whose series a prefix or call belongs.
func series(s string) string {
	if len(s) == 1 || isOne(s[0]) {
		return seriesByPair[pairIndex(s[0], 'A')]
	}
	if len(s) >= 3 {
		for _, h := range halfSeries {
			if s[:2] == h.pair && h.from <= s[2:3] && s[2:3] <= h.to {
				return h.name
			}
		}
		if s[:3] == "3D2" {
			return "Fiji"
		}
	}
	return seriesByPair[pairIndex(s[0], s[1])]
}
