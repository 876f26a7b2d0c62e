// Package kernel reads instruments that the Linux kernel already knows how to
// read, as files under /sys: 1-wire thermometers (w1), monitoring chips (hwmon)
// and converters and pressure sensors of industrial I/O (iio). It takes the
// tree as an fs.FS, so that a test hands in one of its own, and writes nothing.
//
// Sources, all in the kernel's Documentation folder: w1/slaves/w1_therm.rst for
// w1 (w1_slave: two lines, the CRC judged with YES or NO, t= in 0.001 C; each
// read begins a conversion of up to 750 ms); hwmon/sysfs-interface.rst for hwmon
// (temp in 0.001 C, in in mV, curr in mA, temp_fault); ABI/testing/sysfs-bus-iio
// for iio (_input as it stands, else (raw + offset) * scale: pressure in kPa, temp
// in 0.001 C, voltage in mV, current in mA). Accuracy is the chip's and stands in
// its data sheet; digital 1-wire thermometers state 0.5 C around room temperature
// and step 0.0625 C: from memory.
//
// A voltage or current becomes a pressure by two points of the transmitter's
// data sheet, "4mA=0bar,20mA=25bar". Where the lower one is not zero, a signal
// far below it is a broken wire: under 3.6 mA of 4 to 20 mA, under 0.4 V of 0.5
// to 4.5 V, as above 21 mA and 4.6 V: common practice (recommendation NE 43 for the
// current), from memory.
//
// Values are SI: pascal, kelvin.
package kernel
