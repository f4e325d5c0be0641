"""Reading cells: one line per spelling, with every value it yields."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from auditor.quantities import CellReading, Reading, read_cell, readable_fields
from auditor.quantities.numbers import parse_number
from auditor.quantities.units import find_unit, measures

# field | cell | the readings, "+" for open-ended
CELLS = """
load_index | 115 (1215 kg) / 113 (1150 kg) | load_index=115 load_index_dual=113 max_load_kg=1215 max_load_dual_kg=1150
load_index | single 115 / dual 113 | load_index=115 load_index_dual=113
load_index | 115(S)/113(D) | load_index=115 load_index_dual=113
load_index | 115 & 113 | load_index=115 load_index_dual=113
load_index | 91/V | load_index=91 speed_symbol=V
load_index | 91 (615) | load_index=91 max_load_kg=615
load_index | 58 (236) | load_index=58 max_load_kg=236
load_index | 109 soit 1 030 kg | load_index=109 max_load_kg=1030
load_index | ind. carico 88 – kg 560 | load_index=88 max_load_kg=560
load_index | IC 91 | load_index=91
load_index | 91* | load_index=91
load_index | 91 (1) | load_index=91
load_index | '91 | load_index=91
load_index | [91] | load_index=91
load_index | 121/118 (10 ply) | load_index=121 load_index_dual=118 ply_rating=10
load_index | 121/118S LRE | load_index=121 load_index_dual=118 speed_symbol=S load_range=E
load_index | <b>91</b> | load_index=91
load_index_dual | 113 (dual) | load_index_dual=113
load_index_dual | 113 (1150 kg) | load_index_dual=113 max_load_dual_kg=1150
load_index_dual | LI2=113 | load_index_dual=113
speed_symbol | 240 km/h (V) | speed_symbol=V max_speed_kmh=240
speed_symbol | V – bis 240 km/h | speed_symbol=V max_speed_kmh=240
speed_symbol | V rated | speed_symbol=V
speed_symbol | ZR (W) | speed_symbol=W+
speed_symbol | 160K | load_index=160 speed_symbol=K
speed_symbol | A8/B | speed_symbol=A8
speed_symbol | cod. vel. V – km/h 240 | speed_symbol=V max_speed_kmh=240
max_speed_kmh | 40 (A8) | speed_symbol=A8
max_speed_kmh | A8 - 40 km/h | max_speed_kmh=40 speed_symbol=A8
max_speed_kmh | 240¹ | max_speed_kmh=240
max_speed_kmh | Höchstgeschwindigkeit: 190 km/h (1) | max_speed_kmh=190
max_load_kg | 615 kg (LI 91) | max_load_kg=615 load_index=91
max_load_kg | 615 kg / 91V | max_load_kg=615 load_index=91 speed_symbol=V
max_load_kg | 615 kg, 240 km/h | max_load_kg=615 max_speed_kmh=240
max_load_kg | 2650 (A8) | max_load_kg=2650 speed_symbol=A8
max_load_kg | 3.250 kg (40 km/h) / 3.000 kg (50 km/h) | max_load_kg=3250
max_load_kg | 615 (1356) | max_load_kg=615 max_load_lb=1356
max_load_kg | Tragf. 710 kg/Reifen *) | max_load_kg=710
max_load_kg | ="615" | max_load_kg=615
max_load_kg | LBS=3417|KG=1550 | max_load_lb=3417 max_load_kg=1550
max_load_lb | 2,679 lbs @ 80 psi / 2,535 lbs @ 80 psi | max_load_lb=2679 max_load_dual_lb=2535
rim_diameter_in | 16 in (406 mm) | rim_diameter_in=16
rim_diameter_in | 205/55R16 | rim_diameter_in=16 section_width_mm=205 aspect_ratio=55
section_width_mm | 205/55R16 | section_width_mm=205 aspect_ratio=55 rim_diameter_in=16
aspect_ratio | 205/65 | aspect_ratio=65 section_width_mm=205
rim_width_min_in | 12Jx16 | rim_diameter_in=16 rim_width_min_in=12
measuring_rim_in | 6.5 in / 165 mm | measuring_rim_in=6.5
load_version | verstärkt (XL) | load_version=XL
load_version | non XL | load_version=SL
load_range | H (16 lonas) | load_range=H ply_rating=16
tire_class | Klasse C2 (van) | tire_class=C2
severe_snow | No (3PMSF) | severe_snow=no
service_description | 91V (615 kg, 240 km/h) | max_load_kg=615 max_speed_kmh=240
size | LT265/70R17 121/118S LRE | load_range=E
measuring_rim_in | W15L | measuring_rim_in=15
measuring_rim_in | 6.00T | measuring_rim_in=6
measuring_rim_in | 5.50F SDC | measuring_rim_in=5.5
measuring_rim_in | 8.00V-20 | rim_diameter_in=20 measuring_rim_in=8
rim_width_min_in | DW15L - DW16L | rim_width_min_in=15 rim_width_max_in=16
rim_width_min_in | 3.50MT-4.50MT | rim_width_min_in=3.5 rim_width_max_in=4.5
max_speed_kmh | 190 χλμ/ώ | max_speed_kmh=190
max_pressure_bar | 8.5 бара | max_pressure_bar=8.5
ply_rating | (6PR相当) | ply_rating=6
max_load_kg | 1360 | max_load_kg=1360
max_load_kg | 1360.0 | max_load_kg=1360
max_load_kg | 1360 kg/pneu | max_load_kg=1360
max_load_kg | 1360 kg par pneu | max_load_kg=1360
max_load_kg | 1360 kg pro Reifen | max_load_kg=1360
max_load_kg | 119 (1360 kg) | max_load_kg=1360 load_index=119
max_load_kg | 119 = 1360 kg | max_load_kg=1360 load_index=119
max_load_kg | 119 - 1,360 kg | max_load_kg=1360 load_index=119
max_load_kg | 1360 (119) | max_load_kg=1360 load_index=119
max_speed_kmh | 210 km/t | max_speed_kmh=210
max_speed_kmh | 210 km/j | max_speed_kmh=210
max_speed_kmh | T - 190 km/h | max_speed_kmh=190 speed_symbol=T
max_speed_kmh | T (190 km/h) | max_speed_kmh=190 speed_symbol=T
max_speed_kmh | 210 km/godz. | max_speed_kmh=210
rim_diameter_in | Ø17 | rim_diameter_in=17
noise_db | 71 дБ | noise_db=71
load_index | 119 – 1360 kg | load_index=119 max_load_kg=1360
max_load_kg | 1,360 kg | max_load_kg=1360
max_load_kg | 1360kgs | max_load_kg=1360
max_load_kg | 1360 Kg. | max_load_kg=1360
max_load_kg | 1360 kilograms | max_load_kg=1360
max_load_kg | 1,360 kg (2,998 lb) | max_load_kg=1360 max_load_lb=2998
max_load_lb | 1,360 kg (2,998 lb) | max_load_kg=1360 max_load_lb=2998
max_load_kg | 2998lbs/1360kgs | max_load_lb=2998 max_load_kg=1360
max_load_kg | 1360 kg - 2998 lb | max_load_kg=1360 max_load_lb=2998
max_load_kg | 1360/2998 | max_load_kg=1360 max_load_lb=2998
max_load_lb | 2998/1360 | max_load_lb=2998 max_load_kg=1360
max_load_kg | 1360/1250 kg | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1360 kg/1250 kg | max_load_kg=1360 max_load_dual_kg=1250
max_load_lb | 3000/2755 | max_load_lb=3000 max_load_dual_lb=2755
max_load_lb | 3,000/2,755 lbs | max_load_lb=3000 max_load_dual_lb=2755
max_load_dual_kg | 1360/1250 | max_load_kg=1360 max_load_dual_kg=1250
max_load_dual_kg | 2 x 1,250 | max_load_dual_kg=1250
max_load_kg | 345 kg à 15 km/h | max_load_kg=345
max_load_kg | 3875 kg bei 40 km/h | max_load_kg=3875
max_load_kg | 2725 kg (40 km/h) | max_load_kg=2725
max_load_lb | 1,360 @ 50 | max_load_lb=1360
max_speed_kmh | enint. 190 | max_speed_kmh=190
rim_diameter_in | 6.50F-10 | rim_diameter_in=10 measuring_rim_in=6.5
rim_diameter_in | 4.00E-9 | rim_diameter_in=9 measuring_rim_in=4
rim_diameter_in | 8.0-15 | rim_diameter_in=15 measuring_rim_in=8
max_load_dual_lb | 2 × 2,778 lb | max_load_dual_lb=2778
max_load_dual_kg | 1250 kg x 2 | max_load_dual_kg=1250
max_load_dual_kg | 1250 | max_load_dual_kg=1250
max_load_dual_kg | 1250 kg (2756 lb) | max_load_dual_kg=1250 max_load_dual_lb=2756
max_load_lb | 3086/2833 lb | max_load_lb=3086 max_load_dual_lb=2833
max_load_kg | single 1360 / dual 1250 | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1360 kg single, 1250 kg dual | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | dual: 1250 kg, single: 1360 kg | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | single 1360 kg, 1250 kg | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1360/1250 kg (single/dual) | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1250/1360 kg (dual/single) | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1360 kg / 1250 kg (Einzel / Zwilling) | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | S/D: 1360/1250 kg | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | dual/single 1250/1360 | max_load_kg=1360 max_load_dual_kg=1250
load_index | 91 SL | load_index=91 load_version=SL
load_index | 94 XL | load_index=94 load_version=XL
load_index | 94VXL | load_index=94 speed_symbol=V load_version=XL
fuel_class | mojado B, consumo C, ruido 71 dB | wet_grip_class=B fuel_class=C noise_db=71
fuel_class | C/A/B/71 dB | fuel_class=C wet_grip_class=A noise_db=71 noise_class=B
noise_db | 71 dB, Klasse B | noise_db=71 noise_class=B
max_load_kg | 1360 kg, 1250 kg dual | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1250 kg dual, 1360 kg | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1250 kg, single 1360 kg | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1250 (dual) | max_load_dual_kg=1250
max_load_lb | 3042S/2778D | max_load_lb=3042 max_load_dual_lb=2778
max_load_lb | 3042 lbs. single; 2778 lbs. dual | max_load_lb=3042 max_load_dual_lb=2778
max_load_kg | 850 kg per tyre | max_load_kg=850
max_load_kg | 850 kg/tire | max_load_kg=850
max_load_kg | Tragfähigkeit: 850 kg | max_load_kg=850
max_load_lb | 2,998 lbs. (1,360 kgs.) | max_load_lb=2998 max_load_kg=1360
max_load_kg | 1360/0 | max_load_kg=1360
max_load_kg | max. 1360 | max_load_kg=1360
max_load_kg | approx 1360 kg per tire | max_load_kg=1360
max_load_kg | 1.360 | max_load_kg=1360
max_load_kg | 1.360,5 kg | max_load_kg=1360.5
max_load_kg | 1 360 kg | max_load_kg=1360
max_load_kg | 1'360 kg | max_load_kg=1360
max_load_kg | 1,36E+03 | max_load_kg=1360
max_load_kg | 1.36 t | max_load_kg=1360
max_load_kg | 2998 lb | max_load_kg=1359.87
max_load_kg | 2998# | max_load_kg=1359.87
max_load_lb | 3195 lbs @ 80 psi | max_load_lb=3195
max_load_lb | 2,205 pounds | max_load_lb=2205
max_load_kg | １３６０ ｋｇ | max_load_kg=1360
max_load_kg | 1360\u00a0kg | max_load_kg=1360
max_load_kg | 1360 kg/1250 | max_load_kg=1360 max_load_dual_kg=1250
max_load_kg | 1360 kg (119) | max_load_kg=1360 load_index=119
max_load_kg | 1360 kg, 2998 lb | max_load_kg=1360 max_load_lb=2998
max_speed_kmh | 210 km/h | max_speed_kmh=210
max_speed_kmh | 210 kmh | max_speed_kmh=210
max_speed_kmh | 210 KPH | max_speed_kmh=210
max_speed_kmh | 210 km/u | max_speed_kmh=210
max_speed_mph | 130 m.p.h. | max_speed_mph=130
max_speed_mph | up to 118 mph | max_speed_mph=118
max_speed_kmh | 210 km/h (130 mph) | max_speed_kmh=210 max_speed_mph=130
max_speed_kmh | 130 mph / 210 km/h | max_speed_mph=130 max_speed_kmh=210
max_speed_kmh | 210/130 | max_speed_kmh=210 max_speed_mph=130
max_speed_kmh | 300+ | max_speed_kmh=300+
max_speed_kmh | 300+ km/h | max_speed_kmh=300+
max_speed_kmh | 270公里/小时以上 | max_speed_kmh=270+
max_speed_kmh | свыше 270 км/ч | max_speed_kmh=270+
max_speed_kmh | 190 km/s | max_speed_kmh=190
max_speed_kmh | 190 KM / S. | max_speed_kmh=190
max_speed_kmh | 190 km/hod. | max_speed_kmh=190
max_speed_kmh | 190 km/óra | max_speed_kmh=190
max_speed_kmh | 190 km/oră | max_speed_kmh=190
max_speed_kmh | 190km/giờ | max_speed_kmh=190
max_speed_kmh | 190 км/сағ | max_speed_kmh=190
max_speed_kmh | 190km/時 | max_speed_kmh=190
max_speed_kmh | 190 کیلومتر بر ساعت | max_speed_kmh=190
max_speed_kmh | ca. 190 km/uur | max_speed_kmh=190
max_speed_kmh | приблиз. 190 км/ч | max_speed_kmh=190
max_speed_kmh | более 300 км/час | max_speed_kmh=300+
speed_symbol | T (ca. 190 km/s) | speed_symbol=T max_speed_kmh=190
load_index | 119 (ca. 1360 kg) | load_index=119 max_load_kg=1360
noise_db | env. 71 dB | noise_db=71
max_load_kg | circa 1360/1250 kg | max_load_kg=1360 max_load_dual_kg=1250
max_pressure_psi | 80 РSI | max_pressure_psi=80
overall_diameter_mm | 64 СМ | overall_diameter_mm=640
overall_diameter_mm | 64,5 см | overall_diameter_mm=645
tire_class | С2 | tire_class=C2
wet_grip_class | В | wet_grip_class=B
max_speed_kmh | не выше 240 км/ч | max_speed_kmh=240
max_speed_kmh | πάνω από 270 χλμ/ώρα | max_speed_kmh=270+
max_speed_kmh | plus de 300 km/h | max_speed_kmh=300+
max_speed_kmh | nad 300 km/h | max_speed_kmh=300+
max_speed_kmh | 不超过240公里/小时 | max_speed_kmh=240
section_width_mm | 225 χιλ. | section_width_mm=225
max_speed_kmh | above 300 | max_speed_kmh=300+
max_speed_kmh | >300 | max_speed_kmh=300+
max_speed_kmh | über 300 km/h | max_speed_kmh=300+
max_speed_mph | 186+ | max_speed_mph=186+
max_speed_kmh | over 300 km/h (186 mph) | max_speed_kmh=300+ max_speed_mph=186+
max_speed_kmh | H (210 km/h) | max_speed_kmh=210 speed_symbol=H
max_speed_kmh | H | speed_symbol=H
max_pressure_psi | 80 psi (550 kPa) | max_pressure_psi=80 max_pressure_kpa=550
max_pressure_kpa | 350 kPa / 51 psi / 3.5 bar | max_pressure_kpa=350 max_pressure_psi=51 max_pressure_bar=3.5
max_pressure_kpa | 5.5 bar | max_pressure_kpa=550
max_pressure_bar | 3,5 bar | max_pressure_bar=3.5
max_pressure_psi | 44 P.S.I. | max_pressure_psi=44
max_pressure_psi | 44 psi cold | max_pressure_psi=44
max_pressure_kpa | 240 kPa / 32 psi | max_pressure_kpa=240 max_pressure_psi=32
max_pressure_psi | psi: 32 | max_pressure_psi=32
tread_depth_32nds | 5/16 in | tread_depth_32nds=10
max_pressure_kpa | 450/65 | max_pressure_kpa=450 max_pressure_psi=65
tread_depth_32nds | 11 | tread_depth_32nds=11
tread_depth_32nds | 11/32" | tread_depth_32nds=11
tread_depth_32nds | 11/32 in | tread_depth_32nds=11
tread_depth_32nds | 11/32nds | tread_depth_32nds=11
tread_depth_32nds | 11 32nds | tread_depth_32nds=11
tread_depth_32nds | 10.5/32 | tread_depth_32nds=10.5
tread_depth_mm | 11/32 | tread_depth_mm=8.73125
tread_depth_mm | 8.7 mm (11/32 in) | tread_depth_mm=8.7 tread_depth_32nds=11
tread_depth_mm | 8,7 | tread_depth_mm=8.7
tread_depth_mm | 8.500 | tread_depth_mm=8.5
rim_width_min_in | 5.5-7.0 | rim_width_min_in=5.5 rim_width_max_in=7
rim_width_max_in | 5.5 - 7.0 in | rim_width_min_in=5.5 rim_width_max_in=7
rim_width_max_in | 5 1/2 - 7 | rim_width_min_in=5.5 rim_width_max_in=7
rim_width_min_in | 5½-7½ | rim_width_min_in=5.5 rim_width_max_in=7.5
rim_width_min_in | 5.5J to 7.0J | rim_width_min_in=5.5 rim_width_max_in=7
rim_width_min_in | 5.5/6.0/6.5/7.0 | rim_width_min_in=5.5 rim_width_max_in=7
rim_width_min_in | 5,5 | rim_width_min_in=5.5
rim_width_min_in | 6.0,6.5,7.0 | rim_width_min_in=6 rim_width_max_in=7
rim_width_min_in | 6; 6.5; 7 | rim_width_min_in=6 rim_width_max_in=7
measuring_rim_in | 6.5 (5.5-7.0) | measuring_rim_in=6.5 rim_width_min_in=5.5 rim_width_max_in=7
measuring_rim_in | 8.0J | measuring_rim_in=8
measuring_rim_in | 6½ J | measuring_rim_in=6.5
measuring_rim_in | 10 1/2 | measuring_rim_in=10.5
measuring_rim_in | 10-1/2 | measuring_rim_in=10.5
measuring_rim_in | 10.00/1.5 | measuring_rim_in=10
measuring_rim_in | 22,00 / 3,0 | measuring_rim_in=22
measuring_rim_in | 27.00/3.5" | measuring_rim_in=27
measuring_rim_in | 8.5/1.3 | measuring_rim_in=8.5
measuring_rim_in | 25.00-29/3.5 | rim_diameter_in=29 measuring_rim_in=25
rim_diameter_in | 29-25.00/3.5 | rim_diameter_in=29 measuring_rim_in=25
rim_width_min_in | 24.00/3.0-25.00/3.5 | rim_width_min_in=24 rim_width_max_in=25
rim_width_min_in | 24.00/3.0, 25.00/3.5, 27.00/3.5 | rim_width_min_in=24 rim_width_max_in=27
rim_width_min_in | 25.00 (24.00/3.0-27.00/3.5) | measuring_rim_in=25 rim_width_min_in=24 rim_width_max_in=27
rim_width_min_in | 22.00-24.00/3.0 | rim_width_min_in=22 rim_width_max_in=24
rim_width_min_in | 9/10 | rim_width_min_in=9 rim_width_max_in=10
rim_width_min_in | 4.5/7 | rim_width_min_in=4.5 rim_width_max_in=7
rim_width_min_in | 5-8/9 | rim_width_min_in=5 rim_width_max_in=9
measuring_rim_in | 16х7,0 | rim_diameter_in=16 measuring_rim_in=7
measuring_rim_in | 6.5Ј х 16 | rim_diameter_in=16 measuring_rim_in=6.5
measuring_rim_in | 18 x 8.0 | rim_diameter_in=18 measuring_rim_in=8
rim_diameter_in | 7.5Jx17 | rim_diameter_in=17 measuring_rim_in=7.5
rim_diameter_in | 17 | rim_diameter_in=17
rim_diameter_in | 17.0 | rim_diameter_in=17
rim_diameter_in | 17" | rim_diameter_in=17
rim_diameter_in | 17 Zoll | rim_diameter_in=17
load_index | 91 - do 615 kg | load_index=91 max_load_kg=615
load_index | 104 - do 900 kg | load_index=104 max_load_kg=900
load_index | 154 do - 3750 kg | load_index=154 max_load_kg=3750
load_index | 91 (до 615 кг) | load_index=91 max_load_kg=615
load_index | 106/104 - bis 950/900 kg | load_index=106 load_index_dual=104 max_load_kg=950 max_load_dual_kg=900
load_index | 91 615 kg | load_index=91 max_load_kg=615
speed_symbol | T - 190 km/h | speed_symbol=T max_speed_kmh=190
speed_symbol | T - do 190 km/h | speed_symbol=T max_speed_kmh=190
speed_symbol | V (до 240 км/ч) | speed_symbol=V max_speed_kmh=240
speed_symbol | H - έως 210 km/h | speed_symbol=H max_speed_kmh=210
speed_symbol | H 最高210km/h | speed_symbol=H max_speed_kmh=210
max_load_kg | up to 2,650 kg | max_load_kg=2650
max_load_kg | bis zu 615 kg | max_load_kg=615
max_load_kg | jusqu'à 615 kg | max_load_kg=615
max_load_kg | hasta 615 kg | max_load_kg=615
max_load_kg | fino a 615 kg | max_load_kg=615
max_load_kg | até 615 kg | max_load_kg=615
max_load_kg | tot 615 kg | max_load_kg=615
max_load_kg | do 615 kg | max_load_kg=615
max_load_kg | op til 615 kg | max_load_kg=615
max_load_kg | upp till 615 kg | max_load_kg=615
max_load_kg | legfeljebb 615 kg | max_load_kg=615
max_load_kg | до 615 кг | max_load_kg=615
max_load_kg | не более 615 кг | max_load_kg=615
max_load_kg | en fazla 615 kg | max_load_kg=615
max_load_kg | μέχρι 615 kg | max_load_kg=615
max_load_kg | حتى 615 كجم | max_load_kg=615
max_load_kg | ٦١٥ كغ | max_load_kg=615
max_load_kg | עד 615 ק"ג | max_load_kg=615
max_load_kg | 最大615kg | max_load_kg=615
max_load_kg | 615kgまで | max_load_kg=615
max_load_kg | 최대 615kg | max_load_kg=615
max_load_kg | tối đa 615 kg | max_load_kg=615
max_load_kg | สูงสุด 615 กก. | max_load_kg=615
max_speed_kmh | 210 км/год | max_speed_kmh=210
rim_width_min_in | 7.5-(8.0)-9.0 | measuring_rim_in=8 rim_width_min_in=7.5 rim_width_max_in=9
rim_width_min_in | 7.5 - 9.0 (8.0) | measuring_rim_in=8 rim_width_min_in=7.5 rim_width_max_in=9
rim_width_min_in | 6.0 - 8.0 | rim_width_min_in=6 rim_width_max_in=8
rim_width_min_in | 5,5 до 7,0 | rim_width_min_in=5.5 rim_width_max_in=7
load_version | yes | load_version=XL
load_version | нет | load_version=SL
season | летняя | season=summer
season | Зимние шины | season=winter
season | オールシーズン | season=all-season
season | ฤดูหนาว | season=winter
rim_diameter_in | R17 | rim_diameter_in=17 split_letters=0
rim_diameter_in | 16C | rim_diameter_in=16 split_affix=5
rim_diameter_in | ZR 18 | rim_diameter_in=18 split_letters=1
section_width_mm | LT265 | section_width_mm=265 split_affix=1
aspect_ratio | 55ZR | aspect_ratio=55 split_letters=1
rim_diameter_in | 16.5 | rim_diameter_in=16.5
rim_diameter_in | 22,5 | rim_diameter_in=22.5
rim_diameter_in | 432 mm | rim_diameter_in=17
rim_diameter_in | 390 mm | rim_diameter_in=390
rim_diameter_in | 390 | rim_diameter_in=390
aspect_ratio | 65 | aspect_ratio=65
aspect_ratio | .65 | aspect_ratio=65
aspect_ratio | 0,65 | aspect_ratio=65
aspect_ratio | 65% | aspect_ratio=65
aspect_ratio | 65 series | aspect_ratio=65
section_width_mm | VF480 | section_width_mm=480 split_affix=7
section_width_mm | 205/55 | section_width_mm=205 aspect_ratio=55
section_width_mm | LT 245 / 75 | section_width_mm=245 aspect_ratio=75 split_affix=1
section_width_mm | 225 mm | section_width_mm=225
section_width_mm | 8.86 in | section_width_mm=225.044
section_width_in | 10.50" | section_width_in=10.5
section_width_mm | 225 mm / 8.9 in | section_width_mm=225 section_width_in=8.9
measured_width_mm | 22,8 cm | measured_width_mm=228
overall_diameter_in | 28.5" (724 mm) | overall_diameter_in=28.5 overall_diameter_mm=724
revs_per_mile | 729 revs/mile | revs_per_mile=729
revs_per_mile | 729 rpm | revs_per_mile=729
revs_per_km | 453 rev/km | revs_per_km=453
tire_weight_lb | 28.4 lbs | tire_weight_lb=28.4
tire_weight_kg | 12,500 | tire_weight_kg=12.5
noise_db | 71 dB(A) | noise_db=71
noise_db | 71 dB B | noise_db=71 noise_class=B
noise_class | B / 71 dB | noise_db=71 noise_class=B
noise_class | b | noise_class=B
noise_class | 2 waves | noise_class=2
noise_class | )) | noise_class=2
load_index | 102 | load_index=102
load_index | 102.0 | load_index=102
load_index | LI 102 | load_index=102
load_index | 120/116 | load_index=120 load_index_dual=116
load_index | 120/116S | load_index=120 load_index_dual=116 speed_symbol=S
load_index | (98Y) | load_index=98 speed_symbol=Y+
load_index | 94V XL | load_index=94 speed_symbol=V load_version=XL
load_index | 149A8/146B | load_index=149 speed_symbol=A8
load_index | 1360 | load_index=1360
load_index_dual | 116 | load_index_dual=116
speed_symbol | h | speed_symbol=H
speed_symbol | (Y) | speed_symbol=Y+
speed_symbol | a8 | speed_symbol=A8
speed_symbol | 98Y | load_index=98 speed_symbol=Y
speed_symbol | H (210 km/h) | speed_symbol=H max_speed_kmh=210
speed_symbol | H - 130 mph | speed_symbol=H max_speed_mph=130
speed_symbol | (Y) 186+ mph | speed_symbol=Y+ max_speed_mph=186+
speed_symbol | 210 km/h | max_speed_kmh=210
speed_symbol | X | speed_symbol=X
speed_symbol | A9 | speed_symbol=A9
speed_symbol | ZR | speed_symbol=ZR
speed_symbol | V (149) | speed_symbol=V
speed_symbol | 210 | max_speed_kmh=210
load_index | 102 (850 kg) | load_index=102 max_load_kg=850
load_index | 120/116 = 1400 kg | load_index=120 load_index_dual=116 max_load_kg=1400
load_range | E | load_range=E
load_range | LR E | load_range=E
load_range | LRE | load_range=E
load_range | Load Range E | load_range=E
load_range | E1 | load_range=E
load_range | E/10 | load_range=E ply_rating=10
load_range | E (10 ply) | load_range=E ply_rating=10
load_range | 10PR | ply_rating=10
load_range | SL | load_version=SL
load_range | SL/4 | load_version=SL ply_rating=4
load_range | XL | load_version=XL
load_range | Extra Load | load_version=XL
load_range | Z | load_range=Z
ply_rating | 10 | ply_rating=10
ply_rating | 10PR | ply_rating=10
ply_rating | 10-ply | ply_rating=10
ply_rating | 10 ply rated | ply_rating=10
ply_rating | ten ply | ply_rating=10
ply_rating | zehn | ply_rating=10
ply_rating | two ply | ply_rating=2
ply_rating | osm pláten | ply_rating=8
load_range | E, ten ply | load_range=E ply_rating=10
load_range | C, six plies | load_range=C ply_rating=6
ply_rating | 10 lonas | ply_rating=10
ply_rating | 14 сл. | ply_rating=14
ply_rating | sechzehn Lagen | ply_rating=16
ply_rating | E | load_range=E
load_version | sl | load_version=SL
load_version | STD | load_version=SL
load_version | REINFORCED | load_version=XL
load_version | EL | load_version=XL
load_version | Extra Load (XL) | load_version=XL
load_version | HL | load_version=HL
load_version | LL | load_version=LL
load_version | C | size_prefix=C
load_version | LT | size_prefix=LT
load_range | C | load_range=C
construction | Radial | construction=R
construction | ZR | construction=ZR
construction | Diagonal | construction=D
construction | R (Radial) | construction=R
construction | bias belted | construction=B
utqg | 500 A B | treadwear=500 traction=A temperature=B
utqg | 500AB | treadwear=500 traction=A temperature=B
utqg | 500/A/B | treadwear=500 traction=A temperature=B
utqg | 500AAA | treadwear=500 traction=AA temperature=A
utqg | Treadwear 500 Traction AA Temperature A | treadwear=500 traction=AA temperature=A
utqg | 500 | treadwear=500
treadwear | 505 | treadwear=505
treadwear | 500 A A | treadwear=500 traction=A temperature=A
traction | AA | traction=AA
temperature | b | temperature=B
season | Winterreifen | season=winter
season | All-Season | season=all-season
season | 4 saisons | season=all-season
season | Winter tires (studdable) | season=winter
season | Neumáticos de verano | season=summer
season | été | season=summer
season | SUMMER | season=summer
mud_and_snow | M+S | mud_and_snow=yes
mud_and_snow | Yes | mud_and_snow=yes
mud_and_snow | ja | mud_and_snow=yes
mud_and_snow | 0 | mud_and_snow=no
mud_and_snow | M+S, 3PMSF | mud_and_snow=yes severe_snow=yes
mud_and_snow | Yes (M+S) | mud_and_snow=yes
mud_and_snow | 1.0 | mud_and_snow=yes
severe_snow | 3PMSF | severe_snow=yes
severe_snow | 3PMSF: no | severe_snow=no
severe_snow | false | severe_snow=no
severe_snow | კი | severe_snow=yes
severe_snow | Igen | severe_snow=yes
severe_snow | nu | severe_snow=no
severe_snow | não | severe_snow=no
tire_class | c1 | tire_class=C1
fuel_class | H | fuel_class=H
fuel_class | C/A/70 dB/B | fuel_class=C wet_grip_class=A noise_db=70 noise_class=B
fuel_class | D-B-68dB-B | fuel_class=D wet_grip_class=B noise_db=68 noise_class=B
fuel_class | C B 71 | fuel_class=C wet_grip_class=B noise_db=71
wet_grip_class | Class A | wet_grip_class=A
"""

BLANKS = [
    "", " ", "N/A", "n/a", "NA", "n.a.", "-", "--", "–", "none", "null", "NULL", "unknown", "tbd", "k.A.",
    "?", "(none)", "#N/A", "not available", "nan",
]  # fmt: skip

UNREADABLE = """
max_load_kg | lots
max_load_kg | 2720 kg per pair | A value per pair is not a value per tire.
max_load_kg | 1360-1250 | 1360 and 1250 are more than one value.
max_load_kg | 80 psi | psi is no unit of mass.
max_load_kg | -5 | A negative number cannot be.
max_load_kg | 225/65R17
max_load_kg | #VALUE! | #VALUE! is a spreadsheet's error message, not a value.
max_load_kg | 1.9.0 | '1.9.0' is no number.
max_load_kg | 1e400 | '1e400' is no number.
max_load_kg | 0e999 | '0e999' is no number.
max_load_kg | ?? kg
max_load_kg | 4..4
speed_symbol | V 150 | 'V 150' is no speed symbol such as H or A8: the speed has no unit.
max_load_kg | 300+ | Only a speed can be open-ended.
max_load_kg | 1360 1250 900
max_speed_kmh | fast
load_index | heavy | 'heavy' is no load index such as 102 or 120/116.
load_range | 121
load_version | banana
construction | wooden
season | banana
severe_snow | maybe | 'maybe' does not say yes or no.
utqg | A
load_index | V | 'V' is a speed symbol; the cells of load index and speed symbol may be swapped.
speed_symbol | 88 | '88' may be a load index; the cells of load index and speed symbol may be swapped.
max_load_kg | 1360 do 1250 kg
season | 0
season | 2
fuel_class | excellent
rim_diameter_in | 16 18
rim_diameter_in | 16/18
noise_db | loud
tire_class | passenger
"""


def lines(table: str) -> list[list[str]]:
    return [[part.strip(" ") for part in line.split(" | ")] for line in table.strip().splitlines()]


def shown(reading: Reading) -> str:
    value = f"{reading.value:.6g}" if isinstance(reading.value, float) else reading.value
    return f"{reading.field}={value}{'+' if reading.open_ended else ''}"


@pytest.mark.parametrize(("field", "cell", "expected"), lines(CELLS), ids=lambda part: part)
def test_cell_is_read(field: str, cell: str, expected: str) -> None:
    reading = read_cell(cell, field)
    assert (reading.status, " ".join(map(shown, reading.readings))) == ("read", expected)


def test_two_pairs_in_two_units() -> None:
    readings = read_cell("1400/1285 kg (3086/2833 lb)", "max_load_kg").readings
    again = read_cell("1400 kg (3086 lb) / 1285 kg (2833 lb)", "max_load_kg").readings
    assert sorted(map(shown, again)) == sorted(map(shown, readings))
    assert {reading.field: reading.value for reading in readings} == {
        "max_load_kg": 1400,
        "max_load_dual_kg": 1285,
        "max_load_lb": 3086,
        "max_load_dual_lb": 2833,
    }


@pytest.mark.parametrize("cell", BLANKS)
@pytest.mark.parametrize("field", sorted(readable_fields()))
def test_spellings_of_unknown_are_blank(cell: str, field: str) -> None:
    assert read_cell(cell, field) == CellReading("blank")


@pytest.mark.parametrize("field", [*measures(), "load_index", "load_index_dual", "ply_rating"])
@pytest.mark.parametrize("cell", ["0", "0.0", "00"])
def test_zero_is_blank_where_it_cannot_be(field: str, cell: str) -> None:
    assert read_cell(cell, field) == CellReading("blank")


@pytest.mark.parametrize("cell", ["- kg", "n/a lb", "kg", "TBD lbs"])
def test_unit_alone_is_blank(cell: str) -> None:
    assert read_cell(cell, "max_load_kg") == CellReading("blank")


@pytest.mark.parametrize("line", lines(UNREADABLE), ids=lambda line: " ".join(line[:2]))
def test_cell_is_refused_with_a_sentence(line: list[str]) -> None:
    field, cell, *reason = line
    reading = read_cell(cell, field)
    assert (reading.status, reading.readings) == ("unreadable", ())
    assert reading.reason.endswith(".")
    if reason:
        assert reading.reason == reason[0]


@pytest.mark.parametrize(
    ("cell", "field", "half_step"),
    [
        ("1360", "max_load_kg", 0.5),
        ("8.7", "tread_depth_mm", 0.05),
        ("10.50", "section_width_in", 0.005),
        ("1,36E+03", "max_load_kg", 5.0),
        ("1.360,5", "max_load_kg", 0.05),
        ("2998 lb", "max_load_kg", 0.2268),
        ("10 1/2", "measuring_rim_in", 0.25),
        ("11/32", "tread_depth_32nds", 0.5),
        ("72.4 cm", "overall_diameter_mm", 0.5),
        ("0.65", "aspect_ratio", 0.5),
    ],
)
def test_half_of_the_last_stated_digit(cell: str, field: str, half_step: float) -> None:
    assert read_cell(cell, field).readings[0].half_step == pytest.approx(half_step, rel=1e-4)


def test_unit_of_the_cell_wins_over_the_columns() -> None:
    in_pounds = read_cell("2998", "max_load_kg", unit="lbs").readings[0]
    in_kilograms = read_cell("1360 kg", "max_load_kg", unit="lbs").readings[0]
    assert (round(float(in_pounds.value), 2), in_pounds.unit) == (1359.87, None)
    assert (in_kilograms.value, in_kilograms.unit) == (1360.0, "kg")


def test_column_unit_of_another_quantity_is_passed_over() -> None:
    assert read_cell("1360", "max_load_kg", unit="psi").readings[0].value == 1360
    assert read_cell("1360", "max_load_kg", unit="stone").readings[0].value == 1360


@pytest.mark.parametrize(
    ("cell", "field", "decimal", "value"),
    [
        ("1.360", "max_load_kg", ",", 1360),
        ("1.360", "max_load_kg", ".", 1360),  # 1.36 kg cannot be
        ("22,500", "rim_diameter_in", ".", 22.5),
        ("1.000", "aspect_ratio", ".", 100),
        ("12.500", "tire_weight_kg", ",", 12.5),  # 12,500 kg cannot be
        ("6.500", "max_load_lb", ",", 6500),
        ("2.200", "tread_depth_mm", ".", 2.2),
    ],
)
def test_decimal_mark(cell: str, field: str, decimal: str, value: float) -> None:
    assert read_cell(cell, field, decimal=decimal).readings[0].value == value


@pytest.mark.parametrize(
    ("text", "value", "half_step"),
    [("1.234", 1234.0, 0.5), ("12.345", 12345.0, 0.5), ("123.456", 123456.0, 0.5), ("1234.567", 1234.567, 0.0005)],
)
def test_a_group_of_thousands_has_at_most_three_digits(text: str, value: float, half_step: float) -> None:
    assert parse_number(text, ",", 0.0, 1e9) == (value, pytest.approx(half_step))


def test_number_with_two_possible_values_is_refused_unless_the_mark_is_known() -> None:
    # 1.250 kg and 1,250 kg are both weights of a tire.
    assert read_cell("1.250", "tire_weight_kg").status == "unreadable"
    assert read_cell("1.250", "tire_weight_kg", decimal=".").readings[0].value == 1.25
    assert read_cell("1.250", "tire_weight_kg", decimal=",").readings[0].value == 1250


def test_rf_alone_is_marked_since_it_may_mean_run_flat() -> None:
    assert read_cell("RF", "load_version").readings[0].unit == "RF"
    assert read_cell("XL", "load_version").readings[0].unit is None


def test_metric_rim_says_that_it_is_in_millimetres() -> None:
    assert read_cell("390", "rim_diameter_in").readings[0].unit == "mm"
    assert read_cell("15", "rim_diameter_in").readings[0].unit is None


def test_unknown_field_is_unreadable() -> None:
    assert read_cell("1", "color").reason == "color is no field of numbers or codes."


@pytest.mark.parametrize("spelling", ["kgs", "Kg.", "m.p.h.", "Zoll", '"', "kPa", "km / h", "#", "dB(A)"])
def test_units_by_spelling(spelling: str) -> None:
    assert find_unit(spelling) is not None


def test_huge_cells_are_refused_at_once() -> None:
    texts = ["1" * 1_000_000, "1," * 500_000, "(" * 1_000_000, "a b " * 250_000, "1/32" * 250_000]
    start = time.perf_counter()
    for text in texts:
        for field in readable_fields():
            assert read_cell(text, field).status == "unreadable"
    assert time.perf_counter() - start < 1.0


@given(st.text(max_size=60), st.sampled_from(sorted(readable_fields())), st.sampled_from([None, ".", ","]))
def test_no_text_raises(text: str, field: str, decimal: str | None) -> None:
    reading = read_cell(text, field, decimal=decimal)
    assert (reading.status == "read") is bool(reading.readings)
    assert (reading.status == "unreadable") is bool(reading.reason)


CELL_ALPHABET = "0123456789.,/-+()'\" xeEkglbsmphPSIbarXLRYAS½#%"


@given(st.text(CELL_ALPHABET, max_size=40), st.sampled_from(sorted(readable_fields())))
def test_no_text_of_likely_characters_raises(text: str, field: str) -> None:
    for reading in read_cell(text, field).readings:
        if reading.field in ("split_letters", "split_affix"):  # which letters of a size, by their number
            continue
        assert reading.field in readable_fields()
        if isinstance(reading.value, float):
            assert 0.0 < reading.value < float("inf")


# From 30,000 on, "30,000" may be 30 kg as well, so that the decimal mark has to be known.
@given(st.integers(100, 29_999), st.sampled_from(["kg", " kg", " Kg.", "kgs", " kilograms"]))
def test_whole_loads_in_every_grouping(kilograms: int, unit: str) -> None:
    for written in (f"{kilograms}", f"{kilograms:,}", f"{kilograms:,}".replace(",", " ")):
        assert read_cell(written + unit, "max_load_kg").readings[0].value == kilograms
    german = f"{kilograms:,}".replace(",", ".")
    assert read_cell(german + unit, "max_load_kg", decimal=",").readings[0].value == kilograms


def test_30_thousand_needs_the_decimal_mark() -> None:
    assert read_cell("30,000 kg", "max_load_kg").status == "unreadable"
    assert read_cell("30,000 kg", "max_load_kg", decimal=".").readings[0].value == 30_000


@given(st.decimals("0.5", "50", places=1))
def test_decimal_comma_and_point_say_the_same(depth: object) -> None:
    point, comma = (
        read_cell(f"{depth} mm", "tread_depth_mm"),
        read_cell(f"{depth}".replace(".", ",") + " mm", "tread_depth_mm", decimal=","),
    )
    assert point == comma
    assert point.readings[0].value == float(str(depth))


@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        ("speed_symbol", "\u0397", "H"),
        ("speed_symbol", "\u03a4 (έως 190 χλμ/ώρα)", "T"),
        ("speed_symbol", "\u0422", "T"),
        ("load_range", "\u0415", "E"),
        ("load_version", "\u03a7L", "XL"),
        ("load_version", "НЕТ", "SL"),
    ],
)
def test_letters_that_print_like_latin_ones(field: str, text: str, value: str) -> None:
    assert read_cell(text, field).readings[0].value == value


@pytest.mark.parametrize("text", ["\u0412", "\u0420", "\u0392", "\u03a1"])
def test_a_letter_that_can_be_a_b_a_v_a_p_or_an_r_is_no_symbol(text: str) -> None:
    assert read_cell(text, "speed_symbol").status == "unreadable"


ABOUT = """
約9.5kg|9.5kg左右|약 9.5 kg|ca. 9,5 kg|cca 9,5 kg|~ 9.5 kg|≈9,5 kg|env. 9,5 kg|environ 9,5 kg
circa 9,5 kg|9,5 kg circa|ok. 9,5 kg|około 9,5 kg|около 9,5 кг|ок. 9,5кг|прибл. 9,5 кг
близько 9,5 кг|yaklaşık 9,5 kg|kb. 9,5 kg|noin 9,5 kg|aprox. 9,5 kg|ong. 9,5 kg|cirka 9,5 kg
περίπου 9,5 κιλά|حوالي 9.5 كجم|khoảng 9,5 kg|etwa 9,5 kg|approx. 9.5 kg|+/- 9,5 kg
cerca de 9,5 kg|umbes 9,5 kg|oko 9,5 kg
"""


@pytest.mark.parametrize("text", [text for line in ABOUT.split("\n") for text in line.split("|") if text])
def test_about_a_figure_is_that_figure(text: str) -> None:
    (found,) = read_cell(text, "tire_weight_kg").readings
    assert (found.field, found.value, found.unit) == ("tire_weight_kg", 9.5, "kg")


@pytest.mark.parametrize("text", ["ca.", "ok", "около", "約", "approx. kg"])
def test_about_nothing_is_no_value(text: str) -> None:
    assert not read_cell(text, "tire_weight_kg").readings


@pytest.mark.parametrize(
    ("text", "field", "found"),
    [("R16С", "rim_diameter_in", {"rim_diameter_in": 16.0}), ("17С", "rim_diameter_in", {"rim_diameter_in": 17.0})],
)
def test_rims_with_a_cyrillic_letter_are_those_of_commercial_tires(
    text: str, field: str, found: dict[str, float]
) -> None:
    read = {reading.field: reading.value for reading in read_cell(text, field).readings}
    latin = {reading.field: reading.value for reading in read_cell(text.replace("С", "C"), field).readings}
    assert read == latin
    assert found.items() <= read.items()
    assert "split_affix" in read


@pytest.mark.parametrize("text", ["210Н", "240 В", "210С км/ч", "900 НОРМА", "9Ж"])
def test_words_and_letters_that_may_be_another_one_stay_what_they_are(text: str) -> None:
    assert read_cell(text, "max_speed_kmh").status == "unreadable"


@pytest.mark.parametrize("text", ["МАКС 900 КГ", "ДО 900 КГ", "не более 900 кг"])
def test_words_of_other_alphabets_stay_words(text: str) -> None:
    assert read_cell(text, "max_load_kg").readings[0].value == 900.0


@pytest.mark.parametrize("text", ["6.5～8.5", "6.5〜8.5", "6.5~8.5", "6,5 a 8,5", "от 6.5 до 8.5", "6.5÷8.5"])
def test_ranges_of_rim_widths_in_other_signs_and_words(text: str) -> None:
    found = {reading.field: reading.value for reading in read_cell(text, "rim_width_min_in").readings}
    assert found == {"rim_width_min_in": 6.5, "rim_width_max_in": 8.5}


@pytest.mark.parametrize(
    "text",
    [
        "600 kg einzeln / 560 kg zwilling",
        "600 kg simple / 560 kg jumelé",
        "600 kg (tek) / 560 kg (çift)",
        "单胎600kg/双胎560kg",
        "0.6 t simples / 560 kg dupla",
        "одинарная 600 кг, сдвоенная 560 кг",
    ],
)
def test_mountings_in_words_of_other_languages(text: str) -> None:
    found = {reading.field: reading.value for reading in read_cell(text, "max_load_kg").readings}
    assert found == {"max_load_kg": 600.0, "max_load_dual_kg": 560.0}
